"""The elevation of a wall: to scale, dimensioned, nothing lettered over anything else, every name whole in a table."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator
from itertools import combinations
from typing import Any

import pytest
from hypothesis import given, settings

from nesting.draw.boxes import box_of
from nesting.draw.elevation import draw_wall, wall_page
from nesting.draw.ink import Group, Line, Mark, Page, Rect, Text
from nesting.errors import CannotBeDone
from nesting.plan import Plan
from tests.draw.walls import holder, wall_plan
from tests.malformed import BASE
from tests.strategies import walls

KEYS: dict[str, Any] = {key: BASE[key] for key in ("project", "saw", "sheet", "cleats")}
WALL: dict[str, Any] = {
    "width": 144,
    "height": 84,
    "floor_gap": 6,
    "studs": {"first": 8, "spacing": 16},
    "sheathing": [{"name": "drywall", "thickness": "1/2"}],
    "keepout": [{"name": "outlet", "x": 40, "y": 38, "width": 5, "height": 7, "clearance": 2}],
}


def flat(marks: tuple[Mark, ...]) -> Iterator[Mark]:
    for mark in marks:
        if isinstance(mark, Group):
            yield from flat(mark.items)
        else:
            yield mark


def page_of(splice: int = 0, hung: tuple[dict[str, Any], ...] = (), **wall: Any) -> Page:
    return wall_page(wall_plan(KEYS | {"wall": WALL | wall}, splice, hung))


def texts(page: Page) -> list[Text]:
    return [mark for mark in flat(page.items) if isinstance(mark, Text)]


def words(page: Page) -> str:
    return "\n".join(text.text for text in texts(page))


def legible(page: Page) -> None:
    """Nothing is smaller than 9 points, nothing leaves the page, no two texts touch."""
    boxes = [(text, box_of(text)) for text in texts(page)]
    for text, box in boxes:
        assert text.size >= 9
        assert box.left >= -0.01, text
        assert box.top >= -0.01, text
        assert box.right <= page.width + 0.01, text
        assert box.bottom <= page.height + 0.01, text
    for (one, first), (other, second) in combinations(boxes, 2):
        assert not first.meets(second), (one, other)


def test_wall_is_drawn_to_scale_with_all_its_pieces() -> None:
    page = page_of()
    assert "scale 1 : 25" in words(page)
    points = 72 / 25
    wide = [mark.width / points for mark in flat(page.items) if isinstance(mark, Rect) and mark.weight == 0.9]
    assert sorted(round(width) for width in wide) == sorted([84, 52] * 12 + [24, 88] * 2 + [5])
    legible(page)


def test_heights_above_the_floor_stand_at_level_lines() -> None:
    page = page_of()
    heights = [text.text for text in texts(page) if text.anchor == "end"]
    assert heights == [str(height) for height in range(84, 5, -6)]
    chains = [mark for mark in flat(page.items) if isinstance(mark, Line) and len(mark.dashes) == 4]
    assert len(chains) == 14


def test_a_dot_for_every_screw_and_a_stroke_for_every_joint() -> None:
    page = page_of()
    dots = [mark for mark in flat(page.items) if isinstance(mark, Line) and mark.dots]
    assert len(dots) == 12 * 10 + 2 * 8
    assert sum(isinstance(mark, Line) and mark.weight == 2.0 for mark in flat(page.items)) == 12
    two = page_of(screws={"per_stud": 2})
    assert sum(isinstance(mark, Line) and mark.dots for mark in flat(two.items)) == 2 * len(dots)


def test_tables_name_every_piece_holder_and_keepout() -> None:
    hung = (
        holder("pump shelf", 8, 40, (24, 10), 4),
        holder("a name that is longer than its holder", 90, 50, (6, 5), 2),
    )
    page = page_of(hung=hung)
    said = words(page)
    assert "from 4: a 84, b 52" in said
    assert "from 4: a 24, from 52: b 88" in said.replace("b\n88", "b 88")
    assert "a name that is longer than its holder" in said
    assert "A pump shelf" in said
    assert "5 × 7" in said
    assert "Heavy outlines: holders" in said
    legible(page)


@pytest.mark.parametrize("gap", ["3/4", "1 1/2", 6])
def test_a_wide_wall_and_close_rows_are_legible(gap: str) -> None:
    window = {"name": "window over the bench", "x": 120, "y": 30, "width": 48, "height": 36, "clearance": 3}
    pipe = {"name": "pipe", "x": 220, "y": 0, "width": 3, "height": 84}
    page = page_of(width=300, gap=gap, floor_gap=30, keepout=[*WALL["keepout"], window, pipe])
    assert "Pieces without a letter" in words(page) or gap == 6
    legible(page)


def test_a_crowded_wall_is_legible() -> None:
    hung = tuple(holder(f"holder {n}", 4 + n % 7 * 13, 44 - n // 7 * 13, (11, 10), 1 + n // 7 * 4) for n in range(21))
    studs = {"positions": ["3 3/16", "18 7/8", "20 3/8", "35 1/16", "50 29/32", "67 11/32", "69", "83 1/32", "99 5/16"]}
    outlets = [
        {"name": f"outlet {n}", "x": 10 + 18 * n, "y": 12 + 7 * n, "width": 3, "height": 5, "clearance": 1}
        for n in range(5)
    ]
    page = page_of(hung=hung, width="100 3/8", height=60, studs=studs, keepout=outlets)
    assert {f"holder {n}" for n in range(21)} <= {text.text for text in texts(page)}
    legible(page)


@pytest.mark.parametrize("name", ["<b>bin</b> & co", "رف الأدوات", "x" * 120, "🛠️"])
def test_hostile_names_are_drawn_as_text(name: str) -> None:
    plan = wall_plan(KEYS | {"wall": WALL | {"keepout": [WALL["keepout"][0] | {"name": name}]}})
    ET.fromstring(draw_wall(plan))  # noqa: S314
    legible(wall_page(plan))


def test_description_tells_the_rows_without_the_picture() -> None:
    page = page_of(hung=(holder("pump shelf", 8, 40, (24, 10), 4),))
    assert page.title == "Wall of Kiln room shelves, 144 by 84 inches"
    assert "Row 1, lower edge 84 above the floor: from 4: a 84, b 52." in page.desc
    assert "pump shelf hangs on row 4, its left edge at 8." in page.desc


def test_no_wall_no_drawing() -> None:
    bare: Plan = wall_plan(KEYS | {"wall": WALL}).model_copy(update={"wall": None})
    with pytest.raises(ValueError, match="no wall"):
        draw_wall(bare)


@given(walls())
@settings(max_examples=25, deadline=None)
def test_any_wall_is_legible(keys: dict[str, Any]) -> None:
    try:
        plan = wall_plan(keys)
    except CannotBeDone:
        return
    legible(wall_page(plan))
