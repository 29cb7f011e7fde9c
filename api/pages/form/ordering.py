"""What is ordered from a form: a plan, or a comparison of cleat heights; each once, however often it is sent."""

from __future__ import annotations

import json
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from api.access import Parts
from api.bodies import USUAL_SECONDS, Order, comparison_in
from api.limits import Limits
from api.pages.form.typed import Typed, at, lengths_in
from api.routes import plans
from api.store.plans import PlanRow
from api.store.projects import ProjectRow
from nesting.lengths import NotALength, Unit, exact_text, read_length
from nesting.project.model import Project

SECONDS: Final = (5, 10, 30, 60, 300, 1800)
_STEPS: Final[dict[Unit, tuple[Fraction, ...]]] = {
    "in": (Fraction(0), Fraction(1, 2), Fraction(1)),
    "mm": (Fraction(0), Fraction(10), Fraction(25)),
}
_USUAL_HEIGHT: Final[dict[Unit, Fraction]] = {"in": Fraction(3), "mm": Fraction(75)}
_SEED: Final = 0


def offered(limits: Limits) -> tuple[int, ...]:
    """Return how long a search may be asked to take, in seconds.

    >>> offered(Limits(seconds=60)), offered(Limits(seconds=3))
    ((5, 10, 30, 60), (3,))
    """
    return tuple(one for one in SECONDS if one <= limits.seconds) or (limits.seconds,)


def seconds_of(typed: Typed, limits: Limits) -> float:
    """Return how long the search may take: as chosen, the usual where nothing that is offered was."""
    chosen = str(at(typed, ("order", "seconds")))
    return next((float(one) for one in offered(limits) if str(one) == chosen), min(USUAL_SECONDS, limits.seconds))


def draws_on_rack(typed: Typed) -> bool:
    """Whether the plan is to draw on the rack.

    >>> draws_on_rack({}), draws_on_rack({"order": {"rack": "yes"}})
    (False, True)
    """
    return str(at(typed, ("order", "rack"))) == "yes"


def usual_heights(typed: Typed) -> str:
    """Return the cleat heights that are compared where none are typed.

    >>> usual_heights({}), usual_heights({"cleats": {"wall_height": "3 1/2"}})
    ('3, 3 1/2, 4', '3 1/2, 4, 4 1/2')
    """
    unit: Unit = "mm" if at(typed, ("project", "unit")) == "mm" else "in"
    try:
        height = read_length(str(at(typed, ("cleats", "wall_height"))), unit, zero=False)
    except NotALength:
        height = _USUAL_HEIGHT[unit]
    return ", ".join(exact_text(height + step, unit) for step in _STEPS[unit])


def order_plan(parts: Parts, project: ProjectRow, typed: Typed, once: str) -> PlanRow:
    """Let a plan wait its turn."""
    draws = draws_on_rack(typed)
    order = Order(seconds_of(typed, parts.settings.limits), _SEED, rack=draws)
    return plans.waiting(parts, project, order, _key(once and once + "-rack" * draws, project))


def order_comparison(parts: Parts, row: ProjectRow, project: Project, typed: Typed, once: str) -> PlanRow:
    """Let a comparison of cleat heights wait its turn; refuse with faults at ``/cleat_height`` and ``/seconds``."""
    limits = parts.settings.limits
    heights = heights_of(typed)
    each = min(seconds_of(typed, limits), limits.seconds / max(1, len(heights)))
    asked = json.dumps({"cleat_height": heights, "seconds": each, "seed": _SEED})
    order, varied = comparison_in(asked, project, limits)
    return plans.waiting(parts, row, order, _key(once, row), varied)


def heights_of(typed: Typed) -> Sequence[str]:
    """Return the cleat heights to compare, as typed."""
    return lengths_in(str(at(typed, ("order", "heights")))) or lengths_in(usual_heights(typed))


def _key(once: str, project: ProjectRow) -> str | None:
    """Return what makes an order one, sent twice by the same page for the same version of the project."""
    return f"page-{once}-{project.version}" if once else None
