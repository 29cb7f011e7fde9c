"""A plan in whole sentences: what is proven of its cost, and how often the saws are set."""

from __future__ import annotations

from nesting.money import gap, money
from nesting.paper.tables import currency_of
from nesting.plan import Plan


def proof(plan: Plan) -> str:
    """Say what is proven of the plan's cost."""
    currency = currency_of(plan)
    if plan.proven:
        return f"Cheapest: no choice of stocks below {money(plan.cost, currency)} can do this job."
    return (
        f"Not proven cheapest: no plan costs less than {money(plan.cost_bound, currency)}, this one is at most "
        f"{money(plan.cost - plan.cost_bound, currency)} ({gap(plan.cost, plan.cost_bound)}) above the least."
    )


def count_of_settings(plan: Plan) -> str:
    """Say how many steps and settings the plan needs, and how few there can be."""
    setups = plan.setups
    least = "the fewest there can be" if setups.proven else f"at least {setups.bound} whatever the order"
    return (
        f"{counted(len(plan.steps), 'step')} with {counted(setups.total, 'setting')} ({least}): fence {setups.fence}, "
        f"stop {setups.stop}, guide {setups.guide}; {counted(setups.tilt, 'change')} of tilt."
    )


def counted(count: int, word: str) -> str:
    """Return a count with its word.

    >>> counted(1, "layout"), counted(0, "layout")
    ('1 layout', '0 layouts')
    """
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
