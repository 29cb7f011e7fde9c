"""Specific gravity of stud species and of panels: what withdrawal, bearing and pull-through are reckoned from.

NDS Table 12.3.3A (species) and 12.3.3B (panels), on oven-dry weight and volume. The *Wood Handbook*'s own
equations take G at 12 % moisture; the two sets are never mixed in one result.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

Panel = Literal["structural plywood", "plywood", "oriented strand board"]


@dataclass(frozen=True, slots=True)
class Species:
    """A species group by its name in the table; ``known`` is false where a safe value stands in for it."""

    name: str
    gravity: float
    known: bool = True


GRAVITIES: Final = {
    "douglas fir-larch": 0.50,
    "douglas fir-larch (north)": 0.49,
    "douglas fir-south": 0.46,
    "hem-fir": 0.43,
    "hem-fir (north)": 0.46,
    "spruce-pine-fir": 0.42,
    "spruce-pine-fir (south)": 0.36,
    "southern pine": 0.55,
    "mixed southern pine": 0.51,
    "red oak": 0.67,
    "white oak": 0.73,
    "red maple": 0.58,
    "yellow-poplar": 0.43,
    "western cedars": 0.36,
    "redwood": 0.37,
}
"""NDS Table 12.3.3A (transcribed, p. 87)."""

UNKNOWN: Final = Species("unknown", 0.36, known=False)
"""Studs that nobody knows: the lowest value of the table, that of spruce-pine-fir (south)."""

PANEL_GRAVITIES: Final[dict[Panel, float]] = {
    "structural plywood": 0.50,
    "plywood": 0.42,
    "oriented strand board": 0.50,
}
"""NDS Table 12.3.3B for fasteners up to 1/4 in: Structural I or Marine grade, other plywood (transcribed, p. 87),
oriented strand board (from memory). Birch and other imported plywood are not in the table: 0.42."""

_ALSO: Final = {
    "spf": "spruce-pine-fir",
    "spf s": "spruce-pine-fir (south)",
    "spf south": "spruce-pine-fir (south)",
    "df l": "douglas fir-larch",
    "dfl": "douglas fir-larch",
    "douglas fir": "douglas fir-larch",
    "df l n": "douglas fir-larch (north)",
    "df s": "douglas fir-south",
    "hf": "hem-fir",
    "hf n": "hem-fir (north)",
    "sp": "southern pine",
    "southern yellow pine": "southern pine",
    "poplar": "yellow-poplar",
    "cedar": "western cedars",
}
_NOT_WOOD: Final = (
    (("steel", "metal", "aluminium", "aluminum"), "wood screws do not hold in metal studs"),
    (
        ("masonry", "brick", "block", "concrete", "stone", "hollow", "plaster"),
        "wood screws do not hold in masonry or hollow walls",
    ),
)


class NotAStud(ValueError):
    """What was given for the studs' species is none the tables know; ``reason`` says why, ``accepted`` what is."""

    def __init__(self, reason: str, accepted: str) -> None:
        self.reason, self.accepted = reason, accepted
        super().__init__(f"{reason}; accepted: {accepted}")


def read_species(text: str) -> Species:
    """Return the species group that a text names; "unknown" is a name too and takes the lowest value of the table.

    Raises :class:`NotAStud` for a name the table does not hold, and for steel, masonry and hollow walls: the NDS has
    no values for wood screws in them; anchors with a tested rating of their own belong there.

    >>> read_species("SPF").gravity, read_species("Douglas fir-larch").gravity, read_species("unknown").gravity
    (0.42, 0.5, 0.36)
    """
    key = _key(text)
    if key in ("unknown", ""):
        return UNKNOWN
    for words, reason in _NOT_WOOD:
        if any(word in key for word in words):
            raise NotAStud(
                f"{text!r}: {reason}; they need anchors with a tested rating of their own, which is not computed here",
                "wood studs: " + accepted(),
            )
    name = _BY_KEY.get(_ALSO_KEYS.get(key, key))
    if name is None:
        raise NotAStud(f"{text!r} is not a species of stud in the table", accepted())
    return Species(name, GRAVITIES[name])


def accepted() -> str:
    """Return the names that :func:`read_species` takes."""
    return ", ".join((*GRAVITIES, UNKNOWN.name))


def _key(text: str) -> str:
    return re.sub(r"[\s\-–—_(),./]+", " ", text.casefold()).strip()


_BY_KEY: Final = {_key(name): name for name in GRAVITIES}
_ALSO_KEYS: Final = {key: _key(name) for key, name in _ALSO.items()}
