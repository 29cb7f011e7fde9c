import math
import re
import xml.etree.ElementTree as ET

import pytest

from nesting.draw.boxes import Box, box_of
from nesting.draw.ink import Text
from nesting.draw.saw_card import draw_setting

SVG = "{http://www.w3.org/2000/svg}"


def read(svg):
    root = ET.fromstring(svg)  # noqa: S314
    texts = [
        Text(
            float(text.get("x")), float(text.get("y")), text.text or "", float(text.get("font-size")),
            bold=text.get("font-weight") == "bold", anchor=text.get("text-anchor", "start"),
        )
        for text in root.iter(f"{SVG}text")
    ]  # fmt: skip
    width, height = map(float, root.get("viewBox").split()[2:])
    boxes = [(box_of(text), text.text) for text in texts]
    for number, (one, words) in enumerate(boxes):
        assert Box(0, 0, width, height).holds(one), words
        for other, others in boxes[number + 1 :]:
            assert not one.meets(other), (words, others)
    assert all(text.size >= 14 for text in texts)
    return root, texts


def job(bench, saw=None, **how):
    strip = bench.blank(bench.part("row long"), bench.part("hook"), 73 / 32, 0.71875, math.sqrt(2) / 8)
    fill = bench.row("rip", [(175 / 32, strip)] * 2, bench.split("crosscut", 40, bench.part("top"), bench.offcut))
    usual = {"saw": {"kerf": "1/8", **(saw or {})}}
    return bench.plan([bench.layout("A1", 96, 48, fill)], job=usual, **how)


def setup_of(plan, **wanted):
    return next(s.setup for s in plan.steps if all(getattr(s, key) == value for key, value in wanted.items()))


def blade_of(root):
    points = next(p for p in root.iter(f"{SVG}polygon") if p.get("fill") == "#000").get("points")
    return [tuple(map(float, pair.split(","))) for pair in points.split()]


def test_bevel_setting_says_all_the_hand_needs(bench):
    plan = job(bench)
    root, texts = read(draw_setting(plan, setup_of(plan, bevel=45.0)))
    words = [text.text for text in texts]
    largest = max(texts, key=lambda text: text.size)
    assert largest.text == "2 9/32"
    run = " ".join(words)
    assert "Blade 45° to the left, leaning away from the fence" in run
    assert "The left piece falls free." in run
    assert "row long (3 tall) and hook (3 tall)" in run
    assert sum(bool(re.match(r"\d+\.  ?piece", word)) for word in words) == 2
    assert "fence at 2 9/32" in root.find(f"{SVG}title").text


@pytest.mark.parametrize("fence", ["left", "right"])
@pytest.mark.parametrize("leans", ["away", "toward"])
def test_blade_is_drawn_leaning_as_the_step_says(bench, fence, leans):
    plan = job(bench, {"fence_side": fence, "blade_leans": "left"}, leans=leans)
    root, texts = read(draw_setting(plan, setup_of(plan, bevel=45.0)))
    (low, low_y), (high, high_y), *_ = blade_of(root)
    assert high_y < low_y
    assert abs(high - low) == pytest.approx(low_y - high_y, abs=0.01)  # 45 degrees, true
    fence_text = next(text for text in texts if text.text == "fence")
    fence_right = fence_text.x > 195
    assert fence_right is (fence == "right")
    assert (high > low) is (fence_right == (leans == "toward"))
    assert ("trapped" in " ".join(text.text for text in texts)) is (leans == "toward")


def test_lean_follows_the_saw_where_the_step_is_silent(bench):
    plan = job(bench, {"fence_side": "left", "blade_leans": "left"})
    steps = tuple(step.model_copy(update={"leans": None}) for step in plan.steps)
    plan = plan.model_copy(update={"steps": steps})
    run = " ".join(text.text for text in read(draw_setting(plan, setup_of(plan, bevel=45.0)))[1])
    assert "Blade 45° to the left, leaning toward the fence" in run


def test_sled_and_guided_saw(bench):
    plan = job(bench)
    run = " ".join(text.text for text in read(draw_setting(plan, setup_of(plan, station="crosscut sled")))[1])
    assert "stop, from the blade" in run
    assert "Blade square" in run
    assert "offcut" in run
    run = " ".join(text.text for text in read(draw_setting(plan, setup_of(plan, station="breakdown saw")))[1])
    assert "guide, from the edge" in run
    assert "guide" in run


def test_cautions_stand_where_the_cut_stands(bench):
    from nesting.plan import WarningDocument

    plan = job(bench)
    step = next(step for step in plan.steps if step.bevel)
    warnings = (
        WarningDocument(code="a", text="Use a push block.", where=str(step.n)),
        WarningDocument(code="b", text="Support the far end.", where=step.piece),
        WarningDocument(code="c", text="Elsewhere.", where="999"),
        WarningDocument(code="d", text="Eyes on it.", where=f"steps 900, {step.n}-{step.n + 1}"),
    )
    words = [text.text for text in read(draw_setting(plan.model_copy(update={"warnings": warnings}), step.setup))[1]]
    assert "Use a push block." in words
    assert "Support the far end." in words
    assert "Eyes on it." in words
    assert "Elsewhere." not in words


def test_setting_off_the_rule_says_so(bench):
    strip = bench.split("rip", 2.29, bench.part("<slat> & " + "W" * 120), bench.waste)
    plan = bench.plan([bench.layout("A1", 96, 5, bench.split("rip", 2.51, strip, bench.waste))])
    run = " ".join(text.text for text in read(draw_setting(plan, 2))[1])
    assert "nearest mark; exactly 2.2900 in" in run
    assert "waste" in run or "W" in run


def test_unknown_setting_is_refused(bench):
    with pytest.raises(ValueError, match="no setting 99"):
        draw_setting(job(bench), 99)
