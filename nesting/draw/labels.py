"""Labels: what is written in a piece, as large and as whole as its face allows.

Tried in this order: name and size on two lines or on one, along the page or upwards; the name shortened, with
the letter of its line in the list; letter and size; the letter alone. Nothing is lettered below 9 points, and
nothing that does not fit: such pieces are led out (:mod:`nesting.draw.leaders`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

from nesting.draw.boxes import Box, reach
from nesting.draw.ink import Text
from nesting.draw.lettering import LEADING, SMALLEST, advance, shortened

Run: TypeAlias = tuple[str, bool]
"""Words and whether they are bold."""
Lines: TypeAlias = tuple[tuple[Run, ...], ...]

SIZES = (13.0, 11.0, 10.0, SMALLEST)
PAD_ALONG, PAD_ACROSS = 3.0, 0.7
_AMPLE = {13.0: (12.0, 6.0), 11.0: (6.0, 2.5), 10.0: (4.0, 1.5), 9.0: (PAD_ALONG, PAD_ACROSS)}
_FEWEST = 4
"""Letters of a shortened name that still tell something."""


@dataclass(frozen=True, slots=True)
class Wording:
    """What there is to say about a piece; a leftover's ``head`` is never shortened."""

    head: str
    tail: str
    letter: str
    kept: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """Lettering that fits, and whether it uses the letter of the list."""

    texts: tuple[Text, ...]
    lettered: bool = False


def label(words: Wording, face: Box) -> Label | None:
    """Return the best lettering for a face, or ``None`` where not even its letter fits.

    >>> [text.text for text in label(Wording("shelf", "30 × 9 7/8", "A"), Box(0, 0, 200, 60)).texts]
    ['shelf', '30 × 9 7/8']
    >>> [text.text for text in label(Wording("shelf", "30 × 9 7/8", "A"), Box(0, 0, 14, 12)).texts]
    ['A']
    >>> label(Wording("shelf", "30 × 9 7/8", "A"), Box(0, 0, 200, 2)) is None
    True
    """
    tall = face.height > 1.2 * face.width
    ways = (False, True) if face.width >= 2 * SMALLEST or not tall else (True, False)
    for choices, lettered in _tiers(words):
        for size in SIZES:
            for turned in ways:
                along, across = (face.height, face.width) if turned else (face.width, face.height)
                for lines in choices(along - 2 * PAD_ALONG, size):
                    if _fits(lines, along, across, size):
                        return Label(_placed(lines, face, size, turned), lettered)
    return None


def _tiers(words: Wording) -> Iterator[tuple[_Choices, bool]]:
    head, tail, letter = (words.head, True), (words.tail, False), (words.letter, True)
    if words.kept:
        yield _Choices(((head,), (tail,)), ((head, tail),), ((head,),)), False
    else:
        yield _Choices(((head,), (tail,)), ((head, tail),)), False
        yield _Shortened(words), True
    size = (words.head.removeprefix("keep: "), False) if words.kept else tail
    yield _Choices(((letter, size),), ((letter,), (size,))), True
    yield _Choices(((letter,),)), True


class _Choices:
    def __init__(self, *choices: Lines) -> None:
        self.choices = choices

    def __call__(self, room: float, size: float) -> Iterator[Lines]:
        del room, size
        yield from self.choices


class _Shortened(_Choices):
    def __init__(self, words: Wording) -> None:
        super().__init__()
        self.words = words

    def __call__(self, room: float, size: float) -> Iterator[Lines]:
        letter, tail = (self.words.letter, True), (self.words.tail, False)
        gap = _gap(size)
        room -= advance(self.words.letter, size, bold=True) + gap
        for left, beside in ((room, False), (room - gap - advance(self.words.tail, size), True)):
            name = shortened(self.words.head, left, size, bold=True)
            if name and (len(name) > _FEWEST or name == self.words.head):
                first = (letter, (name, True))
                yield ((*first, tail),) if beside else (first, (tail,))


def _gap(size: float) -> float:
    return 0.55 * size


def _length(line: tuple[Run, ...], size: float) -> float:
    return sum(advance(text, size, bold=bold) for text, bold in line) + _gap(size) * (len(line) - 1)


def _height(lines: Lines, size: float) -> tuple[float, float]:
    """Return how high a block of lines is, and how far its first base line lies below its top."""
    above = max(reach(text)[0] for text, _ in lines[0]) * size
    below = max(reach(text)[1] for text, _ in lines[-1]) * size
    return above + below + (len(lines) - 1) * LEADING * size, above


def _fits(lines: Lines, along: float, across: float, size: float) -> bool:
    pad_along, pad_across = _AMPLE[size]
    wide = max(_length(line, size) for line in lines)
    return wide + 2 * pad_along <= along and _height(lines, size)[0] + 2 * pad_across <= across


def _placed(lines: Lines, face: Box, size: float, turned: bool) -> tuple[Text, ...]:
    height, first = _height(lines, size)
    x, y = face.centre
    texts = []
    for number, line in enumerate(lines):
        down = first - height / 2 + number * LEADING * size
        along = -_length(line, size) / 2
        for text, bold in line:
            width = advance(text, size, bold=bold)
            middle = along + width / 2
            place = (x + down, y - middle) if turned else (x + middle, y + down)
            texts.append(Text(*place, text, size, bold=bold, anchor="middle", turned=turned))
            along += width + _gap(size)
    return tuple(texts)
