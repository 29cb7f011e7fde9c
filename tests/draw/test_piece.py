"""The small pictures of a step: which side the fence stands on, where the cut runs, what comes of it."""

import pytest

from nesting.draw.boxes import box_of
from nesting.draw.ink import Hatch, Line, Rect, Text
from nesting.draw.piece import WIDTH, piece_page


def picture(bench, kind="rip", at=3.0, low=None, high=None, size=(40, 12), **changes):
    fill = bench.split(kind, at, low or bench.part("shelf"), high or bench.waste)
    plan = bench.plan([bench.layout("A1", *size, fill)])
    step = plan.steps[0].model_copy(update={"station": "table saw"} | changes)
    page = piece_page(step, {node.id: node for node in plan.layouts[0].tree.walk()})
    marks = page.items
    for mark in marks:
        if isinstance(mark, Rect):
            assert mark.x >= 0
            assert mark.x + mark.width <= WIDTH
            assert mark.y >= 0
            assert mark.y + mark.height <= page.height
    return marks


def first(marks):
    return next(mark for mark in marks if isinstance(mark, Rect))


def holder(marks):
    return [mark for mark in marks if isinstance(mark, Rect)][1]


def blade(marks):
    return next(mark for mark in marks if isinstance(mark, Line))


@pytest.mark.parametrize("against", ["low", "high"])
def test_fence_stands_at_the_reference_edge(bench, against):
    marks = picture(bench, at=4.0, against=against, setting=4.0)
    piece, fence, cut = first(marks), holder(marks), blade(marks)
    assert fence.width == piece.width
    near = piece.y + piece.height if against == "low" else piece.y
    assert fence.y == pytest.approx(near if against == "low" else near - fence.height)
    assert abs(cut.y1 - near) == pytest.approx(piece.height * 4 / 12, abs=0.01)


@pytest.mark.parametrize("against", ["low", "high"])
def test_stop_stands_at_the_reference_end(bench, against):
    marks = picture(bench, "crosscut", 10.0, against=against, setting=10.0, station="crosscut sled")
    piece, stop, cut = first(marks), holder(marks), blade(marks)
    assert stop.height == piece.height
    near = piece.x if against == "low" else piece.x + piece.width
    assert stop.x == pytest.approx(near - stop.width if against == "low" else near)
    assert abs(cut.x1 - near) == pytest.approx(piece.width / 4, abs=0.01)


@pytest.mark.parametrize("kind", ["rip", "crosscut"])
@pytest.mark.parametrize("against", ["low", "high"])
def test_guide_lies_on_the_measured_side_of_the_cut(bench, kind, against):
    marks = picture(bench, kind, 6.0, against=against, setting=6.0, station="breakdown saw")
    piece, guide, cut = first(marks), holder(marks), blade(marks)
    middle = guide.y + guide.height / 2 if kind == "rip" else guide.x + guide.width / 2
    line = cut.y1 if kind == "rip" else cut.x1
    edge = (piece.y + piece.height, piece.y) if kind == "rip" else (piece.x, piece.x + piece.width)
    near = edge[0] if against == "low" else edge[1]
    assert abs(middle - line) == pytest.approx(3)
    assert (middle - line) * (near - line) > 0


def test_waste_is_hatched_leftovers_dashed_parts_named(bench):
    marks = picture(bench, "rip", 6.0, bench.part("shelf"), bench.waste)
    assert sum(isinstance(mark, Hatch) for mark in marks) == 2  # the fence and the waste
    (name,) = [mark for mark in marks if isinstance(mark, Text)]
    assert (name.text, name.bold) == ("shelf", True)
    assert name.size >= 9
    marks = picture(bench, "rip", 6.0, bench.offcut, bench.split("crosscut", 9, bench.part("a"), bench.waste))
    assert sum(bool(mark.dashes) for mark in marks if isinstance(mark, Rect)) == 1
    assert {mark.text for mark in marks if isinstance(mark, Text)} == {"keep", "A1.2"}


def test_names_too_long_for_their_piece_are_cut_short_or_left_out(bench):
    (name,) = [mark for mark in picture(bench, low=bench.part("W" * 90), at=8.0) if isinstance(mark, Text)]
    assert name.text.endswith("…")
    assert box_of(name).width < 84
    marks = picture(bench, "crosscut", 4.0, bench.part("wheel rack arm"), bench.waste)
    assert not [mark for mark in marks if isinstance(mark, Text)]


@pytest.mark.parametrize("keep", ["low", "high"])
def test_one_piece_where_the_blade_eats_the_rest(bench, keep):
    tree = bench.split("rip", 11.9, bench.part("shelf"), bench.waste)(0, 0, 40, 12)
    assert len(tree["pieces"]) == 1
    if keep == "high":
        tree["pieces"][0]["y"] = 0.1
    plan = bench.plan([bench.layout("A1", 40, 12, lambda *_: tree)])
    page = piece_page(plan.steps[0], {node.id: node for node in plan.layouts[0].tree.walk()})
    assert sum(isinstance(mark, Rect) for mark in page.items) == 3  # the piece, the guide, the part


def test_thin_pieces_can_be_seen(bench):
    marks = picture(bench, "rip", 0.1, size=(96, 0.6), setting=0.1)
    assert first(marks).height >= 16
    cut = blade(marks)
    assert first(marks).y + first(marks).height - cut.y1 >= 7


def test_bevel_rips_are_dotted(bench):
    assert blade(picture(bench, bevel=45.0)).dashes != blade(picture(bench)).dashes
