"""A fitted wall as a workshop drawing: the elevation to scale, dimensioned, and tables to hang it by.

Black on white, to be read at arm's length: holders have the heaviest lines, cleats plain ones, studs are dashed and
keep-outs hatched; nothing is lettered smaller than 9 points. Portrait and landscape are tried, the larger scale wins.
"""

from __future__ import annotations

import math
from itertools import islice

from nesting.draw import wall_margins, wall_marks, wall_words
from nesting.draw.boxes import Box
from nesting.draw.ink import Mark, Page, Rect, Text, to_svg
from nesting.draw.lettering import SMALLEST, clean, shortened, wrapped
from nesting.draw.listing import letters
from nesting.draw.paper import EDGE, HEADER, LONG, POINTS, ROW, SHORT
from nesting.draw.subject import Rule, rule_of
from nesting.draw.table import draw_table, lay_out
from nesting.draw.wall_view import View, view_of
from nesting.plan import Plan
from nesting.plan_wall import WallDocument

_LEAST_SHARE = 0.25
"""Of the page's height, for the wall itself."""
_DIMENSION, _BELOW = 13.0, 52.0


def draw_wall(plan: Plan) -> str:
    """Return the elevation of a plan's wall as SVG, sized to print at 100 % on US Letter and on A4.

    Raises ``ValueError`` where the plan has no wall.
    """
    return to_svg(wall_page(plan))


def wall_page(plan: Plan) -> Page:
    """Return the elevation of a plan's wall in our own marks, in points."""
    if plan.wall is None or plan.wall.width is None:
        raise ValueError("the plan has no wall")
    rule = rule_of(plan)
    drafts = [_Draft(plan, plan.wall, rule, *page) for page in ((SHORT, LONG), (LONG, SHORT))]
    return min(drafts, key=lambda draft: (draft.height > draft.paper, draft.denominator)).page()


class _Draft:
    """The drawing on one format of paper."""

    def __init__(self, plan: Plan, wall: WallDocument, rule: Rule, width: float, paper: float) -> None:
        self.plan, self.wall, self.rule, self.width, self.paper = plan, wall, rule, width, paper
        self.letters = list(islice(letters(), len(wall.holders)))
        room = width - 2 * EDGE
        self.keys = [f"K{number}" for number in range(1, len(wall.keepouts) + 1)]
        self.tables = [lay_out(table, room) for table in wall_words.tables(wall, rule, self.letters, self.keys)]
        notes = wall_words.legend(wall, rule, lettered=False)
        self.notes_high = len(wrapped(notes, room, SMALLEST)) * ROW + 6
        under = self.notes_high + sum(table.height + 8 for table in self.tables)
        self.left = wall_margins.left_room([rule.length(row.y + wall.floor_gap) for row in wall.rows])
        self.right = wall_margins.right_room(len(wall.rows)) + _DIMENSION
        free = paper - HEADER - 8 - under - _BELOW - EDGE
        high = max(free, _LEAST_SHARE * paper)
        across = room - self.left - self.right
        unit = POINTS[rule.unit]
        size = wall.width or 1.0, wall.height or 1.0
        self.denominator = _scale(max(size[0] * unit / across, (size[1] + wall.floor_gap) * unit / high))
        points = unit / self.denominator
        spare = max(across - size[0] * points, 0.0)
        self.view: View = view_of(wall, EDGE + self.left + spare / 2, HEADER + 8, points)
        self.stud_marks, self.below = wall_margins.stud_labels(self.view, rule)
        self.below += _DIMENSION
        self.height = math.ceil((self.below + 14 + under + EDGE) * 2) / 2

    def page(self) -> Page:
        view, taken = self.view, list[Box]()
        room = self.width - 2 * EDGE
        beside = view.right + self.right - _DIMENSION
        behind: list[Mark] = [
            *wall_margins.floor(view),
            *wall_margins.level_lines(view, self.rule),
            *wall_marks.studs(view),
            *wall_marks.pieces(view),
        ]
        dots = wall_marks.screws(view)
        screws = wall_marks.covered(dots)
        named = list(wall_marks.holder_names(view, self.letters, screws, taken))
        named += wall_marks.keepout_names(view, self.keys, screws, taken)
        labels, lettered = wall_marks.piece_labels(view, self.rule, taken)
        title, desc = wall_words.described(self.plan, self.wall, self.rule)
        items: list[Mark] = [
            Text(EDGE, 22, shortened(f"Wall: {clean(self.plan.project)}", room, 15, bold=True), 15, bold=True),
            Text(EDGE, 38, wall_words.headline(self.wall, self.rule, self.denominator), 10),
            *behind,
            Rect(view.x, view.y, view.right - view.x, view.bottom - view.y, weight=1.2),
            *self.stud_marks,
            *wall_margins.overall(view, self.rule, self.below, beside),
            *wall_marks.keepouts(view),
            *wall_marks.holders(view),
            *dots,
            *labels,
            *named,
        ]
        y = self.below + 14
        for line in wrapped(wall_words.legend(self.wall, self.rule, lettered=lettered), room, SMALLEST):
            items.append(Text(EDGE, y + 8, line, SMALLEST))
            y += ROW
        y += 6
        for table in self.tables:
            items += draw_table(table, EDGE, y)
            y += table.height + 8
        return Page(self.width, max(self.height, math.ceil(y * 2) / 2), title, desc, tuple(items))


def _scale(least: float) -> float:
    """Return the scale 1 : n to draw at, whole numbers, halves below 20."""
    return float(math.ceil(least)) if least > 20 else max(math.ceil(least * 2 - 1e-9) / 2, 1.0)
