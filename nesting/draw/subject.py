"""What one drawing is about, gathered from a plan: the stock piece, its steps' numbers, leans and first edge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, Literal

from nesting.draw.lettering import clean
from nesting.lengths import Unit, read_length, show_length
from nesting.plan import LayoutDocument, Plan, StepDocument

Side = Literal["bottom", "top", "left", "right"]

USUAL_STEP: Final[Mapping[Unit, Fraction]] = {"in": Fraction(1, 32), "mm": Fraction(1, 2)}
_STARTS: Final = {
    "breakdown saw": "measure the first cut from this edge",
    "table saw": "this edge against the fence first",
    "crosscut sled": "this end against the stop first",
}


@dataclass(frozen=True, slots=True)
class Rule:
    """How lengths are written in a document: its unit and the finest mark of its rule."""

    unit: Unit
    step: Fraction

    def length(self, value: float) -> str:
        """Write one length."""
        return show_length(Fraction(value).limit_denominator(10**6), self.unit, self.step)

    def size(self, sides: tuple[float, float], between: str = " × ") -> str:
        """Write a length and a width."""
        return between.join(map(self.length, sides))

    @property
    def finest(self) -> float:
        """The finest difference that is shown."""
        return float(self.step) if self.unit == "in" else 0.1


@dataclass(frozen=True, slots=True)
class Subject:
    """All that a layout's drawing tells beside its tree."""

    layout: LayoutDocument
    rule: Rule
    project: str
    kind: str
    grain: bool | None
    """``None`` where the plan does not say."""
    place: tuple[int, int]
    """Which one of how many pieces of this stock."""
    numbers: Mapping[str, int]
    """Of a cut piece: the number of its step; empty where the plan has no steps for this layout."""
    rising: Mapping[str, bool]
    start: Side
    start_words: str


def rule_of(plan: Plan) -> Rule:
    """Return how the plan's lengths are shown: to its job's ``fence_step``, by default 1/32 in or 0.1 mm.

    Raises ``ValueError`` where the job names a step that is not a length.
    """
    given = _table(plan.job, "project").get("fence_step")
    step = USUAL_STEP[plan.unit] if given is None else read_length(given, plan.unit, zero=False)
    return Rule(plan.unit, step)


def subject_of(plan: Plan, layout_id: str) -> Subject:
    """Return what the drawing of one layout is about. Raises ``ValueError`` where the plan has no such layout."""
    layout = next((layout for layout in plan.layouts if layout.id == layout_id), None)
    if layout is None:
        raise ValueError(f"the plan has no layout {layout_id!r}")
    alike = [other.id for other in plan.layouts if other.stock == layout.stock]
    kind, grain = _stock(plan, layout.stock)
    steps = [step for step in plan.steps if step.layout == layout_id]
    first = min(steps, key=lambda step: step.n, default=None)
    return Subject(
        layout=layout,
        rule=rule_of(plan),
        project=clean(plan.project),
        kind=kind,
        grain=grain,
        place=(alike.index(layout_id) + 1, len(alike)),
        numbers={step.piece: step.n for step in steps},
        rising={step.piece: rises(step) for step in steps if step.bevel},
        start=_first_edge(layout, first),
        start_words=_STARTS[first.station] if first else "make the first cut from this edge",
    )


def rises(step: StepDocument) -> bool:
    """Whether a bevel, seen from the high end of its strip, rises from the low side to the high side.

    The blade leans away from the fence: the piece at the fence is tall above. Against the low edge that is a
    rising line; leaning toward the fence, or from the high edge, it falls.
    """
    return (step.against == "low") == (step.leans != "toward")


def _first_edge(layout: LayoutDocument, first: StepDocument | None) -> Side:
    cut = first.cut if first else layout.tree.cut
    low = first is None or first.against == "low"
    if cut == "crosscut":
        return "left" if low else "right"
    return "bottom" if low else "top"


def _stock(plan: Plan, name: str) -> tuple[str, bool | None]:
    for kind in ("sheet", "board", "offcut"):
        rows = (plan.job or {}).get(kind)
        for row in rows if isinstance(rows, list | tuple) else ():
            if isinstance(row, Mapping) and row.get("name") == name:
                return kind, row.get("grain", True) is not False
    return "piece", None


def _table(job: Mapping[str, Any] | None, key: str) -> Mapping[str, Any]:
    table = (job or {}).get(key)
    return table if isinstance(table, Mapping) else {}
