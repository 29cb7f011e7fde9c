"""Why a job cannot be done at all: parts that fit no stock, told one by one with what there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.demand import Cleat, Group, Panel
from nesting.lengths import show_length
from nesting.project.model import Project

if TYPE_CHECKING:
    from nesting.solve.grid import Rules


def refusals(project: Project, groups: Sequence[Group], rules: Rules) -> list[str]:
    """Return one reason for each part and cleat that fits no stock, or that the limits on cutting rule out."""
    from nesting.solve.cutting import homeless

    anyhow = replace(rules, max_stages=None, first_cut="any")
    reasons = []
    for group in groups:
        by_size = homeless(group, anyhow)
        for piece in homeless(group, rules):
            reasons.append(_homeless(project, group, piece) if piece in by_size else _uncuttable(rules, piece))
    return reasons


def _uncuttable(rules: Rules, piece: Panel | Cleat) -> str:
    limits = [f"max_stages = {rules.max_stages}"] if rules.max_stages is not None else []
    limits += [f"first_cut = {rules.first_cut}"] if rules.first_cut != "any" else []
    kind = "part" if isinstance(piece, Panel) else "cleat"
    return f"{kind} {piece.name!r} fits the stock but cannot be cut with {' and '.join(limits)}"


def _homeless(project: Project, group: Group, piece: Panel | Cleat) -> str:
    def length(value: Fraction) -> str:
        return show_length(value, project.unit, project.project.fence_step)

    width = piece.width if isinstance(piece, Panel) else piece.height
    offers = []
    for index in sorted(piece.stocks):
        stock = group.stocks[index]
        usable = [length(side - 2 * stock.trim) for side in (stock.length, stock.width)]
        trimmed = f" after {length(stock.trim)} edge trim" if stock.trim else ""
        offers.append(f"{stock.name!r} offers {usable[0]} × {usable[1]}{trimmed}")
    kind = "part" if isinstance(piece, Panel) else "cleat"
    why = ""
    if isinstance(piece, Panel) and piece.grain != "any" and any(group.stocks[i].grain for i in piece.stocks):
        why = (
            " with its length across the face grain"
            if piece.grain == "width"
            else " with its length along the face grain"
        )
    elif isinstance(piece, Cleat):
        why = " along the stock's length"
    size = f"{length(piece.length)} × {length(width)}"
    return f"{kind} {piece.name!r}, {size}, fits no stock{why}: {'; '.join(offers)}"
