"""What changed, in one sentence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from fractions import Fraction

from nesting.money import money
from nesting.project.model import Project

MOST_NAMED = 3
NOTHING = "Nothing is lost: the plan stands as it is."


def sentence(
    project: Project,
    why: Sequence[tuple[str, str]],
    lost: Counter[str],
    sources: Sequence[str],
    buy: Sequence[tuple[str, int]],
    more: Fraction,
    steps: tuple[int, int, int],
) -> str:
    """Return what changed.

    ``why`` pairs each lost piece's id with spoiled or measured, ``lost`` counts the parts lost, ``sources`` names what
    they are cut from, ``buy`` what is bought; ``steps``: open ones, those that change, new ones.

    >>> from nesting.project.read import project_from_mapping
    >>> job = {"project": {"name": "shelf"}, "saw": {"kerf": "1/8"}, "part": [{"name": "back", "length": 24,
    ...     "width": 9, "thickness": "1/2"}], "sheet": [{"name": "ply", "length": 96, "width": 48, "thickness": "1/2"}]}
    >>> project = project_from_mapping(job)
    >>> sentence(project, [("A1.4", "spoiled")], Counter(back=1), ["offcut A1.7"], [], Fraction(0), (21, 3, 2))
    'The spoiled back is cut from offcut A1.7; nothing to buy; 3 of 21 open steps change, 2 are new.'
    """
    kinds = {kind for _, kind in why}
    how = "spoiled" if kinds == {"spoiled"} else "short" if kinds == {"measured"} else "lost"
    if lost:
        few = [f"{count} × {name}" if count > 1 else name for name, count in lost.items()]
        many = sum(lost.values()) > 1
        parts = f"The {how} {_listed(few)} {'are' if many else 'is'} cut from {_listed(sources)}"
    else:
        pieces = [piece for piece, _ in why]
        parts = f"The {how} {_listed(pieces)} {'were' if len(pieces) > 1 else 'was'} needed for no part"
    bought = [f"{count} × {name}" for name, count in buy]
    total = f" for {money(more, project.project.currency)}" if more else ""
    purse = f"to buy: {_listed(bought)}{total}" if bought else "nothing to buy"
    open_steps, changed, new = steps
    change = f"{changed} of {open_steps} open steps change" if open_steps else "no step was open"
    fresh = f", {new} {'is' if new == 1 else 'are'} new" if new else ""
    return f"{parts}; {purse}; {change}{fresh}."


def _listed(names: Iterable[str]) -> str:
    known = list(names)
    if len(known) > MOST_NAMED + 1:
        return f"{', '.join(known[:MOST_NAMED])} and {len(known) - MOST_NAMED} more"
    return known[0] if len(known) == 1 else f"{', '.join(known[:-1])} and {known[-1]}" if known else "nothing"
