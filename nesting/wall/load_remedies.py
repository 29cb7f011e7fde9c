"""The smallest change that makes a check pass, found by making it again with every change that is likely to help.

Changes come from the cheapest to the dearest: a longer screw, a second screw, a thicker one; gussets; a shallower,
taller or wider holder; thicker stock; a second cleat; and, where nothing else does, less load.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Final

from nesting.strength.wood_screws import SCREWS
from nesting.wall.load_facts import Driven, HolderFacts, PieceFacts, WallFacts
from nesting.wall.load_rows import STOP, WARN, Check, Words, percent

Remake = Callable[[HolderFacts, dict[str, float | bool]], HolderFacts | None]
"""Builds a holder again with some keys changed, sizes in inches; None where it cannot be built so."""
LONGER: Final = 2.0
"""No screw more than 2 in longer is proposed."""
_BISECTIONS: Final = 12
_THICKER: Final = (10, 12, 14)


@dataclass(frozen=True, slots=True)
class Change:
    """One change: what to do, in words that begin a sentence, and the check made again with it."""

    words: str
    again: Callable[[], Check]


def smallest(changes: Sequence[Change], now: float) -> str:
    """Return the first change that brings a ratio to 0.8, and before it the first that brings it to 1.0, in sentences.

    Empty where none does.

    >>> def check(demand: float) -> Check:
    ...     return Check("row 1 a", "screws", demand, 100.0, "force", "", "", "")
    >>> smallest([Change("Longer screws", lambda: check(90)), Change("Two screws", lambda: check(60))], 1.2)
    'Longer screws would bring this to 90 %. Two screws would bring this to 60 %.'
    """
    passable = ""
    for change in changes:
        ratio = change.again().ratio
        sentence = f"{change.words} would bring this to {percent(ratio)}."
        if ratio <= WARN:
            return f"{passable} {sentence}".strip()
        if ratio <= STOP < now and not passable:
            passable = sentence
    return passable


# -- at the wall


def for_piece(
    check: Callable[[PieceFacts, WallFacts], Check],
    piece: PieceFacts,
    wall: WallFacts,
    words: Words,
    remake: Remake,
) -> Iterator[Change]:
    """Yield changes for a piece of wall cleat."""
    yield from _wall_screws(lambda changed: check(piece, changed), wall, words)
    heaviest = max(piece.holders, key=lambda holder: holder.weight / holder.width)
    for share in (1.25, 1.5, 2.0):
        width = round(heaviest.width * share / words.mark) * words.mark
        wider = remake(heaviest, {"width": width})
        if wider is not None and width <= piece.rail.length:
            changed = _in_place(piece, heaviest.name, wider)
            yield Change(
                f"A back of {heaviest.name!r} {words.length(width)} wide instead of {words.length(heaviest.width)}",
                partial(check, changed, wall),
            )
    halved = replace(heaviest, contents=heaviest.contents / 2, own=heaviest.own / 2)
    yield Change(
        f"A second cleat behind {heaviest.name!r}, hooked on the row below and taking half of its weight,",
        partial(check, _in_place(piece, heaviest.name, halved), wall),
    )
    yield from _less(lambda lighter: check(_in_place(piece, heaviest.name, lighter), wall), heaviest, words)


def for_reach(check: Callable[[WallFacts], Check], wall: WallFacts, words: Words) -> Iterator[Change]:
    """Yield changes for screws that hardly reach into the studs."""
    yield from (_screws(check, wall, words, length=length) for length in _longer(wall))


def for_total(check: Callable[[WallFacts], Check], wall: WallFacts, words: Words) -> Iterator[Change]:
    """Yield changes for a row that carries too much in all."""
    yield from _wall_screws(check, wall, words)


def _wall_screws(check: Callable[[WallFacts], Check], wall: WallFacts, words: Words) -> Iterator[Change]:
    yield from for_reach(check, wall, words)
    if wall.per_stud == 1:
        yield _screws(check, wall, words, per_stud=2)
    thicker = [gauge for gauge in _THICKER if gauge > wall.gauge]
    yield from (_screws(check, wall, words, gauge=gauge) for gauge in thicker)
    if wall.per_stud == 1:
        yield from (_screws(check, wall, words, gauge=gauge, per_stud=2) for gauge in thicker)
        longest = _longer(wall)[-1:]
        yield from (
            _screws(check, wall, words, gauge=gauge, per_stud=2, length=length)
            for gauge in thicker
            for length in longest
        )


def _screws(check: Callable[[WallFacts], Check], wall: WallFacts, words: Words, **keys: Any) -> Change:
    changed = replace(wall, **keys)
    screw = words.screw(changed.gauge, changed.length)
    second = changed.per_stud > wall.per_stud
    text = f"Two {screw} screws at every stud instead of one" if second else f"{screw} screws at the studs"
    return Change(text, partial(check, changed))


def _longer(wall: WallFacts) -> list[float]:
    return [length for length in wall.sold if wall.length < length <= wall.length + LONGER]


def _in_place(piece: PieceFacts, name: str, changed: HolderFacts) -> PieceFacts:
    return replace(piece, holders=tuple(changed if one.name == name else one for one in piece.holders))


# -- at a holder


def for_hook(
    check: Callable[[HolderFacts], Check], holder: HolderFacts, words: Words, remake: Remake
) -> Iterator[Change]:
    """Yield changes for a hook that is not sure to stay seated, or a back that bends."""
    yield from _taller(check, holder, words, remake)
    yield from _shallower(check, holder, words, remake)
    yield from _less(check, holder, words)


def for_screws(
    check: Callable[[HolderFacts], Check], holder: HolderFacts, words: Words, remake: Remake, through: str
) -> Iterator[Change]:
    """Yield changes for screws of a holder: those into its cleat (``through`` is empty), or through a part."""
    if through == "back" and holder.gusset is None:
        yield from _gussets(check, holder, remake)
    doubled = _with_screws(holder, through, times=2)
    yield Change("Twice as many screws there", partial(check, doubled))
    for gauge in (gauge for gauge in SCREWS if 6 < gauge <= 10 and gauge > holder.into_cleat.gauge):
        thicker = _with_screws(holder, through, gauge=gauge)
        yield Change(f"No. {gauge} screws there", partial(check, thicker))
    if not through:
        yield from _taller(check, holder, words, remake)
    yield from _shallower(check, holder, words, remake)
    yield from _less(check, holder, words)


def for_board(
    check: Callable[[HolderFacts], Check],
    holder: HolderFacts,
    words: Words,
    remake: Remake,
    thicknesses: Sequence[float],
) -> Iterator[Change]:
    """Yield changes for a board that bends, sags or shears."""
    if holder.style in ("shelf", "rack"):
        if holder.gusset is None:
            yield from _gussets(check, holder, remake)
        else:
            yield Change("A third gusset in the middle", partial(check, replace(holder, parts=2)))
    for thickness in sorted(value for value in thicknesses if value > holder.thickness):
        thicker = remake(holder, {"thickness": thickness})
        if thicker is not None:
            yield Change(f"Stock {words.length(thickness)} thick", partial(check, thicker))
    yield from _shallower(check, holder, words, remake)
    yield from _less(check, holder, words)


def _with_screws(holder: HolderFacts, through: str, times: int = 1, gauge: int | None = None) -> HolderFacts:
    """Return a holder with other screws through a part, or with other ones into its cleat."""

    def changed(screws: Driven) -> Driven:
        return replace(screws, count=times * screws.count, gauge=gauge or screws.gauge)

    if not through:
        return replace(holder, into_cleat=changed(holder.into_cleat))
    joints = tuple(replace(one, screws=changed(one.screws)) if one.through == through else one for one in holder.joints)
    return replace(holder, joints=joints)


def _gussets(check: Callable[[HolderFacts], Check], holder: HolderFacts, remake: Remake) -> Iterator[Change]:
    with_them = remake(holder, {"gussets": True}) if holder.style in ("shelf", "rack") else None
    if with_them is not None and with_them.gusset is not None:
        yield Change("A gusset at each end (gussets = true)", partial(check, with_them))


def _taller(
    check: Callable[[HolderFacts], Check], holder: HolderFacts, words: Words, remake: Remake
) -> Iterator[Change]:
    for more in range(1, 13):
        height = holder.height + words.mark * more
        taller = remake(holder, {"height": height})
        if taller is not None:
            yield Change(f"A back {words.length(height)} high", partial(check, taller))


def _shallower(
    check: Callable[[HolderFacts], Check], holder: HolderFacts, words: Words, remake: Remake
) -> Iterator[Change]:
    if holder.board is None:
        return
    for less in range(1, 13):
        depth = holder.depth - words.mark * less / 2
        shallower = remake(holder, {"depth": depth}) if depth > 0 else None
        if shallower is not None:
            text = f"A depth of {words.length(depth)} instead of {words.length(holder.depth)}"
            yield Change(text, partial(check, shallower))


def _less(check: Callable[[HolderFacts], Check], holder: HolderFacts, words: Words) -> Iterator[Change]:
    """Yield the greatest contents with which a check passes, by bisection, where there is one."""

    def with_contents(contents: float) -> HolderFacts:
        return replace(holder, contents=contents)

    if not holder.contents or check(with_contents(0.0)).ratio > WARN:
        return
    low, high = 0.0, holder.contents
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        low, high = (middle, high) if check(with_contents(middle)).ratio <= WARN else (low, middle)
    text = f"No more than {words.weight(low)} in {holder.name!r} instead of {words.weight(holder.contents)}"
    yield Change(text, partial(check, with_contents(low)))
