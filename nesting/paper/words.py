"""A plan in words for paper: what is proven of its cost, how often the saws are set, names fit to be printed."""

from __future__ import annotations

import re
import unicodedata

from nesting.draw.lettering import ELLIPSIS, clean
from nesting.money import gap, money
from nesting.paper.tables import currency_of
from nesting.plan import Plan

_RIGHT_TO_LEFT = frozenset(("R", "AL", "AN"))
_ISOLATE, _END_OF_ISOLATE, _MAY_BREAK = "\u2068", "\u2069", "\u200b"
_LONGEST_WORD = 24
_MIXED = re.compile(r"(?<=\d) (?=\d+/\d)")


def proof(plan: Plan) -> str:
    """Say what is proven of the plan's cost."""
    currency = currency_of(plan)
    if plan.replaces is not None:
        return _proof_anew(plan, currency)
    if plan.proven:
        return f"Cheapest: no choice of stocks below {money(plan.cost, currency)} can do this job."
    return (
        f"Not proven cheapest: no plan costs less than {money(plan.cost_bound, currency)}, this one is at most "
        f"{money(plan.cost - plan.cost_bound, currency)} ({gap(plan.cost, plan.cost_bound)}) above the least."
    )


def _proof_anew(plan: Plan, currency: str) -> str:
    """Say what is proven of what a plan made anew buys on top of the one before."""
    told = plan.replaces
    if told is None or not told.more:
        return "Nothing has to be bought on top of the earlier plan."
    if plan.proven:
        return f"Cheapest: what is lost cannot be made again for less than {money(told.more, currency)} more."
    least = max(0.0, plan.cost_bound - told.cost)
    return (
        f"Not proven cheapest: {money(told.more, currency)} more is spent, at least {money(least, currency)} more is "
        "needed."
    )


def planned_anew(plan: Plan) -> list[str]:
    """Say of a plan made anew what changed, what is done and what is bought; nothing of any other plan."""
    told = plan.replaces
    if told is None:
        return []
    says = [shown(told.text, 1000)]
    if told.done_steps:
        which = "Step 1 is" if told.done_steps == 1 else f"Steps 1-{told.done_steps} are"
        says.append(f"{which} done already.")
    new = {layout.stock for layout in plan.layouts if layout.id in told.layouts}
    if any(line.unit_price and line.stock in new for line in plan.buy):
        says.append("All else on the buying list is bought already.")
    elif plan.cost:
        says.append("All on the buying list is bought already.")
    for one in told.lost:
        note = f" ({shown(one.note, 200)})" if one.note else ""
        says.append(f"Piece {shown(one.piece, 40)} is lost{note}: do not use it.")
    return says


def count_of_settings(plan: Plan) -> str:
    """Say how many steps and settings the plan needs, and how few there can be."""
    setups = plan.setups
    least = "the fewest there can be" if setups.proven else f"at least {setups.bound} whatever the order"
    return (
        f"{counted(len(plan.steps), 'step')} with {counted(setups.total, 'setting')} ({least}): fence {setups.fence}, "
        f"stop {setups.stop}, guide {setups.guide}; {counted(setups.tilt, 'change')} of tilt."
    )


def sheet_by_sheet(plan: Plan) -> str:
    """Say how many settings working sheet by sheet would need; empty where the plan does not tell."""
    if plan.work is None or not plan.work.sheet_by_sheet:
        return ""
    saved = round(100 * (1 - plan.setups.total / plan.work.sheet_by_sheet))
    fewer = f": {saved} % fewer this way." if saved > 0 else "."
    return f"Sheet by sheet it would be {counted(plan.work.sheet_by_sheet, 'setting')}{fewer}"


def counted(count: int, word: str) -> str:
    """Return a count with its word.

    >>> counted(1, "layout"), counted(0, "layout")
    ('1 layout', '0 layouts')
    """
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def shown(text: str, most: int = 200) -> str:
    r"""Return somebody's own text fit to be set in a line of ours.

    No more than ``most`` signs of it; words too long for a line may break; writing from right to left is
    isolated (Unicode Standard Annex 9), so that the figures beside it stay in their order.

    >>> shown(" jar\n back "), shown("shelf " * 9, 11), len(shown("W" * 50))
    ('jar back', 'shelf shel…', 52)
    """
    plain = clean(text)
    if len(plain) > most:
        end = most - 1
        while end and unicodedata.combining(plain[end]):
            end -= 1
        plain = plain[:end].rstrip() + ELLIPSIS
    words = (
        _MAY_BREAK.join(word[at : at + _LONGEST_WORD] for at in range(0, len(word), _LONGEST_WORD))
        for word in plain.split(" ")
    )
    breaking = " ".join(words)
    if any(unicodedata.bidirectional(sign) in _RIGHT_TO_LEFT for sign in plain):
        return f"{_ISOLATE}{breaking}{_END_OF_ISOLATE}"
    return breaking


def together(text: str) -> str:
    r"""Return a text whose mixed numbers do not break at the end of a line.

    >>> together("makes 2 9/32 and 3")
    'makes 2\xa09/32 and 3'
    """
    return _MIXED.sub("\u00a0", text)
