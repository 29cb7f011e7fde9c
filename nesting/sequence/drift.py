"""How much kerf and thickness may drift on a layout before a part comes out short.

Derived. With a kerf wider by d than stated, or a stock thinner by d, each side of each piece is the least of a few
straight lines a - c d: a piece measured at S has side S, or what its parent has where that is less; the piece that
falls free has what its parent has less S and the kerf as it is. A bevel rip takes k / cos b; the tall face of the
piece at the fence is S + t tan b where the blade leans away, and of the other one W - S - k / cos b; leaning toward
they are S and W + t tan b - k / cos b - S. A part of which w is wanted may drift until the first of its lines meets w.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from nesting.layout import CutKind, Layout, Node
from nesting.lengths import Unit
from nesting.sequence.accuracy import held_and_falls, nodes_by_id
from nesting.sequence.divisions import size_of
from nesting.steps import Step
from nesting.trade.bevel import secant, tangent


@dataclass(frozen=True, slots=True)
class Limit:
    """How much of a drift is harmless: beyond ``most`` the piece (its id, its part) loses ``loss`` times as much."""

    most: Fraction
    piece: str
    part: str
    loss: Fraction


@dataclass(frozen=True, slots=True)
class Drift:
    """How far off kerf and thickness may be on one layout, each by itself; None: no part is affected by it.

    ``kerf`` limits how much wider than stated the blade may cut, ``thickness`` how much thinner the stock may be.
    """

    layout: str
    kerf: Limit | None
    thickness: Limit | None


Asked = Mapping[str, tuple[Fraction, Fraction]]
"""Smallest acceptable length and width of a part or cleat, by name, as it lies along its own sides."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A side at drift d: ``at`` - ``loss`` times d."""

    at: Fraction
    loss: Fraction


_Sides = dict[tuple[str, CutKind], tuple[_Line, ...]]


def drift(layouts: Sequence[Layout], steps: Sequence[Step], asked: Asked | None = None) -> tuple[Drift, ...]:
    """Return for each layout how much kerf and thickness may drift before a part comes out short.

    ``asked`` tells what is still accepted of a part; without it, its drawn size.
    """
    wider = _sides(layouts, steps, kerf=1, thinner=0)
    thinner = _sides(layouts, steps, kerf=0, thinner=1)
    return tuple(
        Drift(layout.id, _first_short(layout, wider, asked), _first_short(layout, thinner, asked)) for layout in layouts
    )


def _sides(layouts: Sequence[Layout], steps: Sequence[Step], *, kerf: int, thinner: int) -> _Sides:
    """Return the lines of both sides of every piece; ``kerf`` and ``thinner`` say what of the two drifts, 1 or 0."""
    nodes = nodes_by_id(layouts)
    sides: _Sides = {}
    for layout in layouts:
        sides[layout.id, "rip"] = (_Line(layout.tree.width, Fraction(0)),)
        sides[layout.id, "crosscut"] = (_Line(layout.tree.length, Fraction(0)),)
    for step in steps:
        held, falls = held_and_falls(step)
        parent, inherited = sides[step.piece, step.cut], sides[step.piece, _other(step.cut)]
        slope, away = thinner * tangent(step.bevel), step.leans == "away"
        measured = _Line(size_of(nodes[held], step.cut), slope if away else Fraction(0))
        sides[held, step.cut] = _lowest((measured, *parent))
        sides[held, _other(step.cut)] = inherited
        if falls is not None:
            taken = size_of(nodes[step.piece], step.cut) - size_of(nodes[falls], step.cut)
            lost = kerf * secant(step.bevel) + (0 if away else slope)
            sides[falls, step.cut] = _lowest(_Line(line.at - taken, line.loss + lost) for line in parent)
            sides[falls, _other(step.cut)] = inherited
    return sides


def _other(cut: CutKind) -> CutKind:
    return "crosscut" if cut == "rip" else "rip"


def _lowest(lines: Iterable[_Line]) -> tuple[_Line, ...]:
    """Return the lines without those that lie above another one for every drift."""
    kept: list[_Line] = []
    for line in sorted(lines, key=lambda line: (line.at, -line.loss)):
        if not kept or line.loss > kept[-1].loss:
            kept.append(line)
    return tuple(kept)


def _first_short(layout: Layout, sides: _Sides, asked: Asked | None) -> Limit | None:
    """Return the least drift that makes a part short; among equals the part that loses most."""
    limits: list[Limit] = []
    for node in layout.tree.walk():
        if node.role == "part":
            for cut in ("rip", "crosscut"):
                wanted = _wanted(node, cut, asked)
                for line in sides[node.id, cut]:
                    if line.loss > 0:
                        most = max(line.at - wanted, Fraction(0)) / line.loss
                        limits.append(Limit(most, node.id, node.part or "", line.loss))
    return min(limits, key=lambda limit: (limit.most, -limit.loss), default=None)


def _wanted(node: Node, cut: CutKind, asked: Asked | None) -> Fraction:
    drawn = size_of(node, cut)
    if asked is None or node.part is None or node.part not in asked:
        return drawn
    length, width = asked[node.part]
    return length if (cut == "crosscut") != node.turned else width


def drift_in_words(found: Drift, unit: Unit) -> str:
    """Return the drift of one layout as a sentence."""
    return f"{found.layout}: {_kerf_in_words(found.kerf, unit)}; {_thickness_in_words(found.thickness, unit)}."


def _kerf_in_words(limit: Limit | None, unit: Unit) -> str:
    if limit is None:
        return "every part is measured from an edge, so that a kerf wider than stated shortens none"
    if limit.most == 0:
        return (
            f"{_named(limit)} takes what is left and has none to spare: for each {_some(unit)} the kerf is wider "
            f"than stated it comes out {_some(unit, limit.loss)} short"
        )
    return f"the kerf may be {_length(limit.most, unit)} wider than stated before {_named(limit)} is short"


def _thickness_in_words(limit: Limit | None, unit: Unit) -> str:
    if limit is None:
        return "no part depends on the thickness"
    if limit.most == 0:
        return (
            f"for each {_some(unit)} the stock is thinner than stated {_named(limit)} comes out "
            f"{_some(unit, limit.loss)} short"
        )
    return f"the stock may be {_length(limit.most, unit)} thinner than stated before {_named(limit)} is short"


def _named(limit: Limit) -> str:
    return f"{limit.part} ({limit.piece})" if limit.part else limit.piece


def _some(unit: Unit, times: Fraction = Fraction(1)) -> str:
    """Return a small length to tell by: 0.01 in or 0.1 mm, so many times.

    >>> _some("in"), _some("mm", Fraction(5, 2))
    ('0.01 in', '0.25 mm')
    """
    size = float(times) * (0.01 if unit == "in" else 0.1)
    return f"{size:.3f}".rstrip("0").rstrip(".") + f" {unit}"


def _length(value: Fraction, unit: Unit) -> str:
    """Return a drift rounded down, so that it still holds as shown."""
    places = 1000 if unit == "in" else 100
    return f"{float(value * places // 1 / places):.{3 if unit == 'in' else 2}f} {unit}"
