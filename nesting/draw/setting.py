"""What one setting of a saw is about: the steps that share it, what they cut, how the blade stands, what to mind."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.draw.lettering import clean
from nesting.draw.subject import Rule, rule_of
from nesting.lengths import shown_exactly
from nesting.plan import NodeDocument, Plan, StepDocument

WHAT: Final = {
    "table saw": "fence, at the table",
    "crosscut sled": "stop, from the blade",
    "breakdown saw": "guide, from the edge",
}
"""What the number of a setting is the distance of, by station."""
HOLDS: Final = {"table saw": "fence", "crosscut sled": "stop", "breakdown saw": "guide"}
LEAN_LEAST: Final = 1.0
"""Degrees below which a blade counts as square."""
_STEPS: Final = re.compile(r"(?:steps? )?(\d{1,9}(?:-\d{1,9})?(?:, \d{1,9}(?:-\d{1,9})?)*)")
_MOST: Final = 100_000
"""Steps in one span; a plan has fewer, and a text from elsewhere cannot ask for more."""


@dataclass(frozen=True, slots=True)
class Setting:
    """What one card is about: the steps that share a setting and the pieces they cut."""

    number: int
    total: int
    steps: tuple[StepDocument, ...]
    nodes: Mapping[str, NodeDocument]
    thickness: float
    rule: Rule
    fence_side: str
    blade_leans: str
    cautions: Mapping[str, tuple[str, ...]]
    """By the number of a step or the id of a piece."""

    @property
    def first(self) -> StepDocument:
        """The step the picture shows."""
        return self.steps[0]

    def cautions_at(self, step: StepDocument) -> tuple[str, ...]:
        """Return what to mind at one step, each sentence once."""
        return tuple(dict.fromkeys(self.cautions.get(str(step.n), ()) + self.cautions.get(step.piece, ())))


def setting_of(plan: Plan, setup: int) -> Setting:
    """Gather one setting's steps from a plan. Raises ``ValueError`` where it has none."""
    found = next((setting for setting in settings_of(plan) if setting.number == setup), None)
    if found is None:
        raise ValueError(f"the plan has no setting {setup}")
    return found


def settings_of(plan: Plan) -> Iterator[Setting]:
    """Yield the settings of a plan in working order."""
    layouts = {layout.id: layout for layout in plan.layouts}
    nodes = {node.id: node for layout in plan.layouts for node in layout.tree.walk()}
    cautions, rule = _cautions(plan), rule_of(plan)
    saw = (plan.job or {}).get("saw")
    saw = saw if isinstance(saw, Mapping) else {}
    sharing: dict[int, list[StepDocument]] = {}
    for step in sorted(plan.steps, key=lambda step: step.n):
        sharing.setdefault(step.setup, []).append(step)
    for number, steps in sharing.items():
        yield Setting(
            number=number,
            total=len(sharing),
            steps=tuple(steps),
            nodes=nodes,
            thickness=layouts[steps[0].layout].thickness,
            rule=rule,
            fence_side="left" if saw.get("fence_side") == "left" else "right",
            blade_leans="right" if saw.get("blade_leans") == "right" else "left",
            cautions=cautions,
        )


def steps_named(where: str) -> frozenset[int]:
    """Return the steps that a warning's place names; none where it names something else.

    >>> sorted(steps_named("steps 3, 7-9")), sorted(steps_named("step 4")), steps_named("A1.2")
    ([3, 7, 8, 9], [4], frozenset())
    """
    match = _STEPS.fullmatch(where.strip())
    spans = [span.partition("-") for span in match[1].split(", ")] if match else []
    return frozenset(n for low, _, high in spans for n in range(int(low), min(int(high or low), int(low) + _MOST) + 1))


def _cautions(plan: Plan) -> Mapping[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for warning in plan.warnings:
        for where in sorted(map(str, steps_named(warning.where)), key=int) or [warning.where.strip()]:
            found[where] = (*found.get(where, ()), clean(warning.text))
    return found


def blade_words(setting: Setting) -> str:
    """Say how the blade stands: ``Blade square`` or ``Blade 45° left, leaning away from the fence``."""
    first = setting.first
    if first.bevel < LEAN_LEAST:
        return "Blade square"
    which = "toward" if leans_toward(setting) else "away from"
    return f"Blade {first.bevel:g}° to the {_lean_side(setting)}, leaning {which} the {HOLDS[first.station]}"


def leans_toward(setting: Setting) -> bool:
    """Whether the blade leans toward the fence; where the step is silent, as the saw has it."""
    if setting.first.leans is not None:
        return setting.first.leans == "toward"
    return setting.blade_leans == setting.fence_side


def _lean_side(setting: Setting) -> str:
    """Return the side the blade's top leans to; the step's own word goes before the saw's usual lean."""
    other = "left" if setting.fence_side == "right" else "right"
    return setting.fence_side if leans_toward(setting) else other


def sentences(setting: Setting) -> list[str]:
    """Say what lies where at this setting, and what must never be done."""
    first = setting.first
    other = "left" if setting.fence_side == "right" else "right"
    if first.station == "crosscut sled":
        says = ["Seen from where you stand.", f"The {end_of(first)} of the piece lies against the stop."]
        return [*says, "Never use the rip fence as a stop for the sled."]
    if first.station == "breakdown saw":
        return [
            f"Seen along the cut. Measure from the {end_of(first)} to the near side of the kerf.",
            "The guide lies on the measured side, its edge on the line.",
        ]
    says = ["Seen from where you stand.", f"The {other} piece falls free."]
    if first.bevel >= LEAN_LEAST and leans_toward(setting):
        says.append(
            "The held piece is trapped under the blade: use a push block, or put the fence on the other side of the "
            "blade."
        )
    return says


def end_of(step: StepDocument) -> str:
    """Name the side of the piece that is the reference: ``low edge`` of a rip, ``high end`` of a crosscut."""
    return f"{step.against} {'edge' if step.cut == 'rip' else 'end'}"


def side_of(step: StepDocument) -> str:
    """Name the reference side as it lies in the layout's drawing: ``lower edge``, ``left end`` and so on."""
    if step.cut == "rip":
        return "lower edge" if step.against == "low" else "upper edge"
    return "left end" if step.against == "low" else "right end"


def made_words(setting: Setting, step: StepDocument, named: Callable[[str], str] = clean) -> str:
    """Say what a step makes: ``pump shelf (9) and waste``; ``named`` makes a part's name fit to be shown."""
    words = []
    for made in step.makes:
        node = setting.nodes[made]
        size = setting.rule.length(node.width if step.cut == "rip" else node.length)
        tall = " tall" if step.bevel else ""
        name = {
            "part": named(node.part or "") or "a part",
            "waste": "waste",
            "offcut": f"offcut {made} to keep",
            "cut": f"piece {made}",
        }[node.role]
        words.append(name if node.role == "waste" else f"{name} ({size}{tall})")
    if len(words) == 2 and words[0] == words[1]:
        return f"2 × {words[0]}"
    return " and ".join(words)


def off_the_mark(setting: Setting) -> str:
    """Say the exact setting where the finest mark of the rule does not; empty where it does."""
    rule, value = setting.rule, setting.first.setting
    if shown_exactly(Fraction(value).limit_denominator(10**6), rule.unit, rule.step):
        return ""
    return f"nearest mark; exactly {value:.4f} {rule.unit}"
