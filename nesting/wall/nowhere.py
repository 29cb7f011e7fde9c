"""Why a holder hangs nowhere on a wall, not even by itself, and what would help."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from nesting.lengths import show_length
from nesting.project.model import Project
from nesting.project.wall_keys import Wall
from nesting.wall.built import Built
from nesting.wall.places import tried
from nesting.wall.rows import Row


def why_nowhere(project: Project, rows: Sequence[Row], built: Built) -> str | None:
    """Return in words why a holder has no place on the bare wall of a project; None where it has one.

    The first rule that leaves no place is told: a run as wide as it, the height of the area, the gap above its row,
    the keep-outs, the cleats at its foot.
    """
    wall = project.wall
    found = tried(project, rows, built)
    if wall is None or found.places:
        return None
    told = _Told(project, wall, rows, built)
    if not found.wide_enough:
        return told.too_wide()
    if not found.high_enough:
        return told.too_high()
    if not found.clear_above:
        return told.too_tight()
    if not found.off_keepouts:
        return told.kept_out()
    return told.no_foot()


class _Told:
    """The sentences on one holder that hangs nowhere, without their full stops."""

    def __init__(self, project: Project, wall: Wall, rows: Sequence[Row], built: Built) -> None:
        self.project, self.wall, self.rows, self.built = project, wall, rows, built
        self.mark = project.project.fence_step if project.unit == "in" else Fraction(1, 10)

    def length(self, value: Fraction) -> str:
        return f"{show_length(value, self.project.unit, self.project.project.fence_step)} {self.project.unit}"

    def up(self, value: Fraction) -> str:
        return self.length(-(-value // self.mark) * self.mark)

    def too_wide(self) -> str:
        run = max((run for row in self.rows for run in row.runs), key=lambda run: run.length)
        return (
            f"{self.built.name!r}, {self.length(self.built.width)} wide, is wider than any run: the longest is "
            f"{self.length(run.length)}, in row {run.row} from x = {self.length(run.x)}; make it no wider than that, "
            "or move a keep-out"
        )

    def too_high(self) -> str:
        built, lifted = self.built, self.built.top + self.built.lift
        wide = [row.y for row in self.rows if any(run.length >= built.width for run in row.runs)]
        highest = max((y for y in wide if y + lifted <= self.wall.height), default=None)
        if highest is None:
            lowest = min(wide)
            return (
                f"{built.name!r} cannot be hooked on: while it is lifted on it stands {self.up(lifted)} over the lower "
                f"edge of its row, and the area ends {self.length(self.wall.height - lowest)} over the lowest row that "
                f"is wide enough; an area {self.up(lowest + lifted)} high would do, or lower rows"
            )
        return (
            f"{built.name!r}, {self.length(built.height)} high, reaches {self.up(built.height - built.top - highest)} "
            "below the usable area even from the highest row that it can be hooked on; a back of at most "
            f"{self.length((highest + built.top) // self.mark * self.mark)} would hang, or an area that reaches lower"
        )

    def too_tight(self) -> str:
        cleats = self.project.cleats
        gap = min(a.y - b.y - cleats.wall_height for a, b in zip(self.rows, self.rows[1:], strict=False))
        return (
            f"{self.built.name!r} cannot be hooked on: its cleat of {self.length(cleats.holder_height)} needs as much "
            f"clear height over a row, and the gap is {self.length(gap)}; a gap of "
            f"{self.length(cleats.holder_height)} would do, or a holder_height of {self.length(gap)}"
        )

    def kept_out(self) -> str:
        names = ", ".join(repr(keepout.name) for keepout in self.wall.keepout)
        return (
            f"{self.built.name!r}, {self.length(self.built.width)} × {self.length(self.built.height)}, finds no place "
            f"between the keep-outs ({names}); a smaller holder, or less clearance"
        )

    def no_foot(self) -> str:
        return (
            f"{self.built.name!r} would rest on the end of a cleat with less than half of its foot wherever it fits; a "
            f"back lower than {self.length(self.built.height)} that stays above that cleat would hang"
        )
