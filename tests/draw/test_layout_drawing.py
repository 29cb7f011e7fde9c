import itertools
import math
import random
import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.draw.boxes import Box, box_of
from nesting.draw.faces import seen
from nesting.draw.ink import Text
from nesting.draw.layouts import draw_layout
from nesting.draw.lettering import clean
from nesting.draw.numbers import in_margin, spread
from nesting.draw.subject import subject_of

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = [
    "<script>alert(1)</script>",
    "a" * 120,
    "رف الأدوات",
    "🔧 spanner wall 🪚",
    "x\x00y\n z",
    "W" * 120,
    "\u202egnisrever",
    "&amp; ]]> <!--",
    "e" + "\u0301" * 30,
    "   ",
]
STRIP = {"rise": 0.71875, "gap": math.sqrt(2) / 8}


def texts_of(svg):
    """Every text of a drawing as it stands in the file, read back from the XML."""
    root = ET.fromstring(svg)  # noqa: S314
    found = []
    for text in root.iter(f"{SVG}text"):
        x, y = float(text.get("x")), float(text.get("y"))
        turn = text.get("transform")
        assert turn is None or turn == f"rotate(-90 {x:g} {y:g})" or turn.startswith("rotate(-90 ")
        how = {"bold": text.get("font-weight") == "bold", "anchor": text.get("text-anchor", "start")}
        found.append(Text(x, y, text.text or "", float(text.get("font-size")), turned=turn is not None, **how))
    return root, found


def check_legible(svg):
    """The page's texts are 9 points or larger, on the page, and clear of one another."""
    root, texts = texts_of(svg)
    width, height = map(float, root.get("viewBox").split()[2:])
    assert root.get("width") == f"{width / 72 * 25.4:.3f}".rstrip("0").rstrip(".") + "mm"
    boxes = [(box_of(text), text.text) for text in texts]
    page = Box(0, 0, width, height)
    for text in texts:
        assert text.size >= 9
    for box, words in boxes:
        assert page.grown(0.01).holds(box), words
    for number, (one, words) in enumerate(boxes):
        for other, others in boxes[number + 1 :]:
            assert not one.grown(-0.02).meets(other.grown(-0.02)), (words, others)
    return root, texts


def check_fits_paper(root):
    width, height = map(float, root.get("viewBox").split()[2:])
    assert (width <= 720.1 and height <= 522) or (width <= 522 and height <= 720.1)


def strips(bench, count=8, **how):
    bar = bench.row("crosscut", [(31.75, bench.part("row short"))] * 2, bench.part("hook"))
    blanks = [(175 / 32, bench.blank(bench.part("row long"), bar, 73 / 32, **STRIP)) for _ in range(count)]
    lone = [(3.0, bench.blank(bench.part("lone row"), None, 73 / 32, **STRIP))]
    return bench.plan([bench.layout("A1", 96, 48, bench.row("rip", blanks + lone, bench.waste))], **how)


def test_sheet_of_seventeen_cleats_names_them_all(bench):
    root, texts = check_legible(draw_layout(strips(bench), "A1"))
    check_fits_paper(root)
    words = [text.text for text in texts]
    assert words.count("row long") == 8 + 1  # in each strip and once in the list
    assert words.count("lone row") == 2
    assert words.count("row short") == 16 + 1
    assert words.count("45°") == 9
    assert {"8 ×", "16 ×", "1 ×", "96 × 3"} <= set(words)


def test_dotted_lines_run_where_the_blade_leaves_the_face(bench):
    """Leaning away from the low edge, the low cleat's tall face (3 in) is up and the slot k / cos b follows it."""
    tree = strips(bench, 1).layouts[0].tree
    low, high, *_ = (face for face in seen(tree, 0.71875, {}).faces if face.role == "part")
    assert (low.y, low.top) == (0, 3)
    assert high.y == pytest.approx(3 + math.sqrt(2) / 8)
    assert high.top == 175 / 32
    assert high.size[1] == pytest.approx(175 / 32 - 73 / 32 - math.sqrt(2) / 8)
    blank = tree.pieces[0]
    falling = [face for face in seen(tree, 0.71875, {blank.id: False}).faces if face.role == "part"]
    assert falling[0].top == pytest.approx(73 / 32)
    assert falling[1].y == pytest.approx(175 / 32 - falling[1].size[1])
    assert falling[0].bevelled == (False, True)
    assert falling[1].bevelled == (True, False)


@pytest.mark.parametrize(("rising", "slot"), [(True, (0, 1.5)), (False, (0, 1))])
def test_a_lone_piece_at_the_high_edge(bench, rising, slot):
    """4 in wide, the high piece 3 in on its tall face, 1/2 in thick at 45 degrees: its short face is 2 1/2 in."""
    strip = bench.blank(bench.part("cleat"), None, 2.5, 0.5, 0.2)(0, 0, 96, 4)
    piece = strip["pieces"][0]
    piece["y"] = 1.0
    tree = bench.plan([bench.layout("A1", 96, 4, lambda *_: strip)]).layouts[0].tree
    sheet = seen(tree, 0.5, {"A1": rising})
    assert (sheet.cuts[0].low, sheet.cuts[0].high) == pytest.approx(slot)
    assert (sheet.faces[0].y, sheet.faces[0].top, sheet.faces[0].bevelled) == (pytest.approx(slot[1]), 4, (True, False))


@pytest.mark.parametrize(
    ("against", "leans", "rises"),
    [("low", "away", True), ("low", "toward", False), ("high", "away", False), ("high", "toward", True)],
)
def test_slash_leans_as_the_blade_did(bench, against, leans, rises):
    plan = strips(bench, against=against, leans=leans)
    assert set(subject_of(plan, "A1").rising.values()) == {rises}
    root, _ = check_legible(draw_layout(plan, "A1"))
    slashes = [line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "1.6"]
    assert len(slashes) == 9
    assert all((float(line.get("y1")) > float(line.get("y2"))) is rises for line in slashes)


def test_pieces_are_drawn_to_scale_with_white_kerfs(bench):
    fill = bench.split("rip", 24, bench.split("crosscut", 60, bench.part("top"), bench.part("end")), bench.offcut)
    root, texts = check_legible(draw_layout(bench.plan([bench.layout("A1", 96, 48, fill)]), "A1"))
    scale = float(re.search(r"scale 1 : ([\d.]+)", " ".join(text.text for text in texts))[1])
    rects = {group.find(f"{SVG}title").text: group.find(f"{SVG}rect") for group in root.iter(f"{SVG}g")}

    def edges(title):
        rect = rects[title]
        half = float(rect.get("stroke-width")) / 2
        x, y, width, height = (float(rect.get(key)) for key in ("x", "y", "width", "height"))
        return x - half, y - half, x + width + half, y + height + half

    top, end, kept = edges("top, 60 × 24"), edges("end, 35 7/8 × 24"), edges("keep: offcut A1.2, 96 × 23 7/8")
    assert top[2] - top[0] == pytest.approx(60 * 72 / scale, abs=0.01)
    assert end[0] - top[2] == pytest.approx(72 / 8 / scale, abs=0.01)
    assert top[1] - kept[3] == pytest.approx(72 / 8 / scale, abs=0.01)
    assert rects["keep: offcut A1.2, 96 × 23 7/8"].get("stroke-dasharray")
    assert "keep: 96 × 23 7/8" in [text.text for text in texts]


@pytest.mark.parametrize("kerf", [0.0, 0.01])
def test_no_kerf_and_the_thinnest_kerf(bench, kerf):
    fill = bench.row("crosscut", [(10, bench.part("rail"))] * 4, bench.waste, kerf)
    root, texts = check_legible(draw_layout(bench.plan([bench.layout("A1", 96, 48, fill)]), "A1"))
    rails = sorted(
        (float(rect.get("x")), float(rect.get("x")) + float(rect.get("width")))
        for group in root.iter(f"{SVG}g")
        if group.find(f"{SVG}title").text.startswith("rail")
        for rect in group.iter(f"{SVG}rect")
    )
    gaps = [after[0] - before[1] - 0.6 for before, after in itertools.pairwise(rails)]
    assert all(gap >= 0.39 for gap in gaps) if kerf else all(abs(gap) < 0.01 for gap in gaps)
    assert any("kerf" in text.text for text in texts) is bool(kerf)


def test_numbers_in_the_margin_are_those_of_the_steps(bench):
    plan = strips(bench, 3)
    shown = {text.text for text in texts_of(draw_layout(plan, "A1"))[1]}
    assert {str(step.n) for step in plan.steps} <= shown
    without = strips(bench, 3, steps=False)
    shown = {text.text for text in texts_of(draw_layout(without, "A1"))[1]}
    assert {str(rank) for rank in range(1, len(plan.steps) + 1)} <= shown


@pytest.mark.parametrize(
    ("first", "words", "side"),
    [("rip", "Start here: ", "bottom"), ("crosscut", "Start at the heavy bar (left): ", "left")],
)
def test_edge_to_start_from_is_underlined(bench, first, words, side):
    plan = bench.plan([bench.layout("A1", 60, 30, bench.split(first, 10, bench.part("a"), bench.part("b")))])
    root, texts = check_legible(draw_layout(plan, "A1"))
    assert any(text.text.startswith(words) and "this edge" in text.text for text in texts)
    bar = next(line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "4")
    outline = next(rect for rect in root.iter(f"{SVG}rect") if rect.get("stroke-width") == "2.2")
    if side == "bottom":
        assert float(bar.get("y1")) > float(outline.get("y")) + float(outline.get("height"))
    else:
        assert float(bar.get("x1")) < float(outline.get("x"))
    assert side in root.find(f"{SVG}desc").text


def test_reference_edge_at_the_far_side(bench):
    plan = bench.plan([bench.layout("A1", 60, 30, bench.split("rip", 10, bench.part("a"), bench.part("b")))])
    step = plan.steps[0].model_copy(update={"against": "high"})
    _, texts = check_legible(draw_layout(plan.model_copy(update={"steps": (step,)}), "A1"))
    assert any("(top)" in text.text for text in texts)
    step = step.model_copy(update={"cut": "crosscut"})
    _, texts = check_legible(draw_layout(plan.model_copy(update={"steps": (step,)}), "A1"))
    assert any("(right)" in text.text for text in texts)


def test_thin_strips_are_led_out(bench):
    strip = bench.row("rip", [(0.25, bench.part("edge banding"))] * 20, bench.offcut)
    root, texts = check_legible(draw_layout(bench.plan([bench.layout("T1", 96, 12, strip)]), "T1"))
    words = [text.text for text in texts]
    assert "20 × A" in words
    assert "edge banding" in words
    assert "96 × 1/4" in words
    dots = [rect for rect in root.iter(f"{SVG}rect") if rect.get("width") == rect.get("height") == "2.2"]
    assert len(dots) == 20


def test_a_row_of_slivers_is_led_out_together(bench):
    slivers = bench.row("crosscut", [(0.3, bench.part("sliver"))] * 5, bench.waste)
    plan = bench.plan([bench.layout("T1", 96, 3.5, slivers)])
    assert "5 × A" in [text.text for text in check_legible(draw_layout(plan, "T1"))[1]]


def test_trims_thinner_than_the_kerf_and_wider(bench):
    for trim in (0.125, 0.25):
        fill = bench.trimmed(trim, bench.row("crosscut", [(20, bench.part("rail"))] * 3, bench.waste))
        root, _ = check_legible(draw_layout(bench.plan([bench.layout("C1", 96, 3.5, fill)]), "C1"))
        hatched = [group for group in root.iter(f"{SVG}g") if group.find(f"{SVG}title").text == "waste"]
        assert len(hatched) == (1 if trim == 0.125 else 5)
        check_fits_paper(root)


def test_metric_sizes_to_a_tenth(bench):
    fill = bench.split("rip", 297.25, bench.part("panel"), bench.offcut, 3.2)
    plan = bench.plan([bench.layout("A1", 2440, 1220, fill, thick=18)], unit="mm")
    root, texts = check_legible(draw_layout(plan, "A1"))
    assert "2440 × 297.3" in [text.text for text in texts]
    assert any(text.text.startswith("2440 × 1220 mm, 18 thick") for text in texts)
    assert "2440 by 1220 millimetres" in root.find(f"{SVG}title").text


def test_fence_step_of_the_job_rules_the_fractions(bench):
    job = {"project": {"fence_step": "1/4"}, "board": [{"name": "18 mm birch, 4x8", "grain": False}]}
    fill = bench.split("crosscut", 10.2, bench.part("rail"), bench.waste)
    plan = bench.plan([bench.layout("A1", 96, 3.5, fill)], job=job)
    words = [text.text for text in check_legible(draw_layout(plan, "A1"))[1]]
    assert "10 1/4 × 3 1/2" in words
    assert "no face grain" in words
    assert "On this board" in words


def test_grain_is_told_only_where_it_is_known(bench):
    plan = bench.plan([bench.layout("A1", 96, 48, bench.part("top"))], job=None)
    words = [text.text for text in check_legible(draw_layout(plan, "A1"))[1]]
    assert not any("grain" in word for word in words)
    assert "face grain" in [text.text for text in texts_of(draw_layout(strips(bench), "A1"))[1]]


def test_every_hostile_name_is_whole_in_the_list(bench):
    rows = [
        (4.5, bench.row("crosscut", [(30, bench.part(name)), (2, bench.part(name))], bench.waste)) for name in HOSTILE
    ]
    fill = bench.row("rip", rows, bench.offcut)
    plan = bench.plan([bench.layout("H1", 96, 48, fill, stock="Ply <b> & " + "long " * 30)])
    svg = draw_layout(plan, "H1")
    _, texts = check_legible(svg)
    assert "<script" not in svg
    run = "".join(text.text for text in texts).replace(" ", "")
    for name in HOSTILE:
        assert (clean(name) or "(no name)").replace(" ", "") in run
    assert any(text.text.endswith("…") for text in texts)


def test_sixty_small_parts_have_their_letters(bench):
    dice = random.Random(4)
    cells = lambda: [(round(dice.uniform(5, 9) * 16) / 16, bench.part(f"part {dice.randrange(12)}")) for _ in range(10)]  # noqa: E731
    rows = [(7.5, bench.row("crosscut", cells(), bench.waste)) for _ in range(6)]
    plan = bench.plan([bench.layout("B1", 96, 48, bench.row("rip", rows, bench.waste))])
    root, texts = check_legible(draw_layout(plan, "B1"))
    check_fits_paper(root)
    letters = [text.text for text in texts if re.fullmatch("[A-Z]{1,2}", text.text)]
    assert len(letters) > 60


def test_small_offcut_is_at_most_half_size(bench):
    plan = bench.plan([bench.layout("R1", 6, 6, bench.split("rip", 3, bench.part("plate"), bench.waste))])
    assert any("scale 1 : 2 " in text.text for text in texts_of(draw_layout(plan, "R1"))[1])


def test_tall_stock_and_turned_parts(bench):
    fill = bench.split("crosscut", 4, bench.part("upright", turned=True), bench.part("door", turned=True))
    root, texts = check_legible(draw_layout(bench.plan([bench.layout("P1", 30, 80, fill)]), "P1"))
    check_fits_paper(root)
    assert "80 × 4" in [text.text for text in texts]
    assert any(text.turned for text in texts)


def test_description_lists_what_is_on_the_sheet(bench):
    desc = texts_of(draw_layout(strips(bench, 2), "A1"))[0].find(f"{SVG}desc").text
    assert "2 of row long, 96 by 3." in desc
    assert "9 cuts" not in desc
    assert "3 of them bevel rips" in desc
    assert "1 piece of waste." in desc


def test_unknown_layout_is_refused(bench):
    with pytest.raises(ValueError, match="no layout 'Z9'"):
        draw_layout(strips(bench), "Z9")


@settings(max_examples=12, deadline=None)
@given(
    seed=st.integers(0, 10**9),
    size=st.sampled_from([(96, 48), (60, 60), (48, 96), (96, 3.5), (30, 20), (6, 6), (12, 90)]),
    kerf=st.sampled_from([0.0, 0.09375, 0.125]),
    least=st.sampled_from([0.25, 1, 3]),
    hostile=st.booleans(),
    steps=st.booleans(),
)
def test_any_layout_is_legible(bench, seed, size, kerf, least, hostile, steps):
    names = HOSTILE if hostile else ["gusset", "divider, tall", "end", "shelf board for the bench"]
    dice = random.Random(seed)
    plan = bench.plan([bench.layout("X1", *size, bench.random_fill(dice, kerf, names, least))], steps=steps)
    svg = draw_layout(plan, "X1")
    _, texts = check_legible(svg)
    run = "".join(text.text for text in texts).replace(" ", "")
    for node in plan.layouts[0].tree.walk():
        if node.role == "part":
            assert (clean(node.part) or "(no name)").replace(" ", "") in run
    assert svg == draw_layout(plan, "X1")


@given(st.lists(st.floats(0, 100), max_size=20), st.floats(0.5, 5))
def test_tabs_move_apart_in_order(places, pitch):
    placed = spread(sorted(places), pitch, -100, 300)
    assert all(after - before >= pitch - 1e-6 for before, after in itertools.pairwise(placed))


def test_a_full_margin_keeps_the_first_cuts():
    from nesting.draw.numbers import Numbered

    first = [Numbered(n, 10 * n, 0) for n in range(1, 9)]
    margin = in_margin([*first, *(Numbered(n, n, 1) for n in range(9, 41))], 0, 100, upright=True)
    numbers = {cut.number for cut, _, _ in margin.tabs}
    assert margin.ranks == 2
    assert set(range(1, 9)) < numbers
    assert len(numbers) <= 15
    places = [place for _, place, _ in margin.tabs]
    assert all(after - before >= 7 for before, after in itertools.pairwise(places))
