"""What it saves that the cutting chose the splices: the same job once more with fixed full-length pieces.

Every run is then cut as the fewest pieces, the longest first from its low end, as one would without a plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from nesting.demand import Group, fixed
from nesting.project.model import Project

if TYPE_CHECKING:
    from nesting.solve.cutting import Cutting
    from nesting.solve.grid import Rules
    from nesting.solve.stop import Stop

SECONDS, SHARE = 3.0, 0.3
"""At most, and of the time left, to solve the job with fixed pieces; it is told, not used."""
UNKNOWN = "What fixed full-length pieces would cost was not worked out: the time was up."


@dataclass(frozen=True, slots=True)
class Fixed:
    """The job with fixed pieces; ``cost`` and ``sheets`` are None where no plan was found in the time given."""

    cost: Fraction | None
    sheets: int | None
    proven: bool
    sentence: str


def fixed_pieces(
    project: Project,
    groups: Sequence[Group],
    cuttings: Sequence[Cutting],
    rules: Rules,
    letters: Mapping[str, str],
    stop: Stop,
    seed: int,
) -> Fixed | None:
    """Solve the runs of a job with fixed pieces and compare; None where there is nothing to choose."""
    from nesting.solve.cutting import cut_group

    chosen = [
        (group, cutting)
        for group, cutting in zip(groups, cuttings, strict=True)
        if any(len(run.alternatives) > 1 for run in group.runs)
    ]
    if not chosen:
        return None
    if stop.reached():
        return Fixed(None, None, proven=False, sentence=UNKNOWN)
    brief = stop.within(min(SECONDS, SHARE * stop.left()))
    free = cost = sum((cutting.cost for cutting in cuttings), Fraction(0))
    used = sheets = sum(len(cutting.candidates[0]) for cutting in cuttings)
    proven = True
    for at, (group, cutting) in enumerate(chosen):
        share = brief.within(brief.left() / (len(chosen) - at))
        found = cut_group(fixed(group), rules, project.unit, letters, share, seed, patience=0.0)
        if found.missing:
            sentence = "With fixed full-length pieces the stock would run out, as far as was found."
            return Fixed(None, None, proven=False, sentence=sentence)
        if not found.candidates:
            return Fixed(None, None, proven=False, sentence=UNKNOWN)
        cost += found.cost - cutting.cost
        sheets += len(found.candidates[0]) - len(cutting.candidates[0])
        proven = proven and found.proven
    return Fixed(cost, sheets, proven, _sentence(project, (free, used), (cost, sheets), proven=proven))


def _sentence(project: Project, free: tuple[Fraction, int], with_fixed: tuple[Fraction, int], *, proven: bool) -> str:
    found = "" if proven else ", as far as was found"
    cost, sheets = with_fixed[0] - free[0], with_fixed[1] - free[1]
    money = f"{float(cost):.2f} {project.project.currency}"
    pieces = f"{abs(sheets)} stock piece{'s' if abs(sheets) != 1 else ''}"
    if cost > 0:
        rest = f" and take {pieces} more" if sheets > 0 else ""
        return (
            f"Splices chosen with the cuts save {money}: fixed full-length pieces would cost that much more"
            f"{rest}{found}."
        )
    if cost == 0 and sheets > 0:
        return f"Splices chosen with the cuts save {pieces}: fixed full-length pieces would take so many more{found}."
    return "Splices chosen with the cuts save nothing here: fixed full-length pieces would cost no more."
