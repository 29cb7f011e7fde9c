import xml.etree.ElementTree as ET

import pytest

from nesting.draw.boxes import box_of
from nesting.draw.curve import Series, draw_steps
from nesting.draw.ink import Text

SVG = "{http://www.w3.org/2000/svg}"


def read(svg):
    root = ET.fromstring(svg)  # noqa: S314
    texts = [
        Text(
            float(t.get("x")), float(t.get("y")), t.text or "", float(t.get("font-size")),
            bold=t.get("font-weight") == "bold", anchor=t.get("text-anchor", "start"), turned=bool(t.get("transform")),
        )
        for t in root.iter(f"{SVG}text")
    ]  # fmt: skip
    boxes = [(box_of(text), text.text) for text in texts]
    for number, (one, words) in enumerate(boxes):
        for other, others in boxes[number + 1 :]:
            assert not one.meets(other), (words, others)
    return root, texts


def test_steps_hold_their_value_and_marks_are_named():
    curve = Series("cleats a sheet", ((3, 17), (3.25, 16), (3.5, 14), (4, 14)))
    svg = draw_steps(
        "Yield by height",
        [curve, Series("bound", ((3, 18), (4, 15)))],
        [(3.25, 16, "16 at 3 3/16")],
        "tall face, in",
        "count",
    )
    root, texts = read(svg)
    words = {text.text for text in texts}
    assert {"16 at 3 3/16", "cleats a sheet", "bound", "tall face, in", "count"} <= words
    heavy = [line for line in root.iter(f"{SVG}line") if line.get("stroke-width") == "2.2"]
    assert all(line.get("x1") == line.get("x2") or line.get("y1") == line.get("y2") for line in heavy)
    assert len(heavy) == 3 + 2 + 1  # three treads, two risers, the sample in the legend
    assert "cleats a sheet: 17 at 3, 14 at 4." in root.find(f"{SVG}desc").text


def test_crowded_marks_are_numbered():
    marks = [(1 + n / 1000, 5, f"a long remark on a point, the {n}th of them") for n in range(12)]
    _, texts = read(draw_steps("<b>", [Series("a", ((0, 1), (2, 9)))], [*marks, (2, 9, "")], "x" * 200, "y" * 200))
    assert [text.text for text in texts].count("1") >= 2
    run = " ".join(text.text for text in texts)
    assert all(text in run for _, _, text in marks)


def test_one_point_and_none_and_too_many():
    root, _ = read(draw_steps("one", [Series("a", ((5, 0),)), Series("none", ())], [], "x", "y"))
    assert root.get("role") == "img"
    with pytest.raises(ValueError, match="nothing to draw"):
        draw_steps("none", [], [], "x", "y")
    with pytest.raises(ValueError, match="told apart"):
        draw_steps("many", [Series(str(n), ((0, 1),)) for n in range(7)], [], "x", "y")
