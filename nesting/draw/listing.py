"""The list of the pieces on a sheet: equal ones on one line, each line with its letter in the drawing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.draw.faces import Face
from nesting.draw.lettering import clean

NAMELESS = "(no name)"


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list of pieces: equal parts together, each leftover worth keeping by itself."""

    letter: str
    name: str
    size: tuple[float, float]
    count: int
    kept: bool = False


def listed(faces: tuple[Face, ...], steps: float) -> tuple[tuple[Line, ...], dict[str, Line]]:
    """Return the list of pieces in the order they are met, equal names together, and the line of every face by its id.

    Pieces are equal where name and size agree to ``steps``, the finest difference shown.
    """
    groups: dict[tuple[object, ...], list[Face]] = {}
    for face in sorted(
        (face for face in faces if face.role in ("part", "offcut")), key=lambda face: face.role != "part"
    ):
        sizes = tuple(round(side / steps) for side in face.size)
        key = (face.role, face.name, sizes) if face.role == "part" else (face.role, face.id)
        groups.setdefault(key, []).append(face)
    names = list(dict.fromkeys(group[0].name for group in groups.values() if group[0].role == "part"))
    rank = {name: at for at, name in enumerate(names)}
    ordered = sorted(
        groups.values(),
        key=lambda group: rank.get(group[0].name, len(names)) if group[0].role == "part" else len(names),
    )
    lines = []
    of_face = {}
    for index, (group, letter) in enumerate(zip(ordered, letters(), strict=False)):
        first = group[0]
        kept = first.role == "offcut"
        lines.append(
            Line(letter, f"offcut {first.id}" if kept else clean(first.name) or NAMELESS, first.size, len(group), kept)
        )
        of_face.update(dict.fromkeys((face.id for face in group), lines[index]))
    return tuple(lines), of_face


def letters() -> Iterator[str]:
    """Yield A, B, … Z, AA, AB, …: without I and O, which are read as figures.

    >>> from itertools import islice
    >>> list(islice(letters(), 22, 26))
    ['Y', 'Z', 'AA', 'AB']
    """
    alphabet = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    count = 0
    while True:
        text, rest = "", count
        while rest >= 0:
            text = alphabet[rest % len(alphabet)] + text
            rest = rest // len(alphabet) - 1
        yield text
        count += 1
