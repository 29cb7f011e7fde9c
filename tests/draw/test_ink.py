import re
import xml.etree.ElementTree as ET
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.draw.boxes import Box, box_of
from nesting.draw.ink import Arrow, Group, Hatch, Line, Page, Polyline, Rect, Text, box, to_svg
from nesting.draw.lettering import advance, clean, shortened, wrapped

SVG = "{http://www.w3.org/2000/svg}"


def drawn(*marks, **how):
    return ET.fromstring(to_svg(Page(720, 360, "title", "desc", marks, **how)))  # noqa: S314


def test_page_prints_at_true_scale_and_speaks():
    root = drawn(Rect(1, 2, 3, 4))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("254mm", "127mm", "0 0 720 360")
    assert root.get("role") == "img"
    assert root.find(f"{SVG}title").text == "title"
    assert root.find(f"{SVG}desc").text == "desc"
    assert drawn(unit="px").get("width") == "720"


def test_every_mark_becomes_its_shape():
    root = drawn(
        Rect(1, 2, 3, 4, weight=0.75, dashes=(5, 3), fill="paper"),
        Line(0, 0, 9, 9, weight=2, dashes=(0.1, 3), dots=True),
        Polyline(((0, 0), (1, 0), (1, 1)), closed=True, fill="ink"),
        Polyline(((0, 0), (1, 0), (1, 1))),
        Text(5, 6, "up", size=11, bold=True, anchor="end", turned=True, white=True),
        Group((Arrow(0, 0, 10, 0, both=True),), title="grain", desc="both ways"),
    )
    rect = root.findall(f"{SVG}rect")[1]
    assert (rect.get("x"), rect.get("stroke-width"), rect.get("stroke-dasharray")) == ("1", "0.75", "5 3")
    assert root.find(f"{SVG}line").get("stroke-linecap") == "round"
    assert root.find(f"{SVG}polygon").get("fill") == "#000"
    assert root.find(f"{SVG}polyline").get("fill") == "none"
    text = root.find(f"{SVG}text")
    assert (text.get("transform"), text.get("fill"), text.get("font-weight")) == ("rotate(-90 5 6)", "#fff", "bold")
    group = root.find(f"{SVG}g")
    assert (group.find(f"{SVG}title").text, group.find(f"{SVG}desc").text) == ("grain", "both ways")
    assert len(group.findall(f"{SVG}polyline")) == 2


def test_only_black_and_white_are_used():
    text = to_svg(Page(9, 9, "t", "d", (Rect(0, 0, 1, 1, fill="ink"), Text(1, 1, "a", white=True))))
    assert set(re.findall(r"#[0-9a-f]{3,6}", text)) == {"#000", "#fff"}


def test_hatching_stays_within_its_shape():
    root = drawn(Hatch(box(10, 20, 30, 5), spacing=3))
    numbers = [float(number) for number in re.findall(r"[\d.]+", root.find(f"{SVG}path").get("d"))]
    pairs = list(zip(numbers[::2], numbers[1::2], strict=True))
    assert len(pairs) >= 2 * 30 / (3 * 1.4143) - 2
    assert all(10 <= x <= 40 and 20 <= y <= 25 for x, y in pairs)
    assert all(abs((x1 + y1) - (x2 + y2)) < 0.01 for (x1, y1), (x2, y2) in zip(pairs[::2], pairs[1::2], strict=True))
    assert drawn(Hatch(box(10.1, 20, 0.1, 0.1), spacing=30)).find(f"{SVG}path") is None


@given(st.text(st.characters(), max_size=60))
def test_any_text_is_harmless(name):
    root = ET.fromstring(to_svg(Page(9, 9, name, name, (Text(1, 1, name), Group((), title=name)))))  # noqa: S314
    assert (root.find(f"{SVG}text").text or "") == clean(name)
    assert root.find(f".//{SVG}script") is None
    assert clean(clean(name)) == clean(name)


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("<script>alert(1)</script>", "<script>alert(1)</script>"),
        ("a\x00b\x07c\ud800\ufffe", "abc"),
        ("two\r\nlines\t here ", "two lines here"),
        ("\u202eevil\u2066", "evil"),
        ("رف الأدوات", "رف الأدوات"),
        ("e" + "\u0301" * 40, "e\u0301\u0301"),
        ("🔧 wall", "🔧 wall"),
    ],
)
def test_clean_keeps_what_can_be_drawn(given, kept):
    assert clean(given) == kept


@given(st.text(st.characters(codec="utf-8"), max_size=40), st.floats(0, 300), st.booleans())
def test_shortened_fits_and_begins_alike(text, room, bold):
    short = shortened(text, room, 9, bold=bold)
    assert advance(short, 9, bold=bold) <= room + 1e-6
    assert short in (text, "") or (short.endswith("…") and text.startswith(short[:-1]))


@given(st.lists(st.text("abcW é漢", min_size=1, max_size=30), max_size=8), st.floats(20, 200))
def test_wrapped_keeps_every_sign_and_fits(words, room):
    text = clean(" ".join(words))
    lines = wrapped(text, room, 9)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(advance(line, 9) <= room or len(line) == 1 for line in lines)


def test_widths_cover_the_published_ones():
    """Advance widths of Helvetica (Adobe font metrics, from memory), in thousandths of an em."""
    for sign, thousandths in {" ": 278, "0": 556, "W": 944, "m": 833, "G": 778, "i": 222, "…": 1000}.items():
        assert advance(sign, 1000) >= thousandths
        assert advance(sign, 1000, bold=True) >= thousandths
    assert advance("é", 9) >= advance("e", 9)
    assert advance("e\u0301", 9) == advance("e", 9)


def test_turned_text_stands_on_end():
    flat = box_of(Text(50, 50, "upright", 10))
    turned = box_of(Text(50, 50, "upright", 10, turned=True))
    assert (round(turned.height, 6), round(turned.width, 6)) == (round(flat.width, 6), round(flat.height, 6))
    assert turned.bottom == 50
    assert turned.left == 50 - 7.8
    assert turned.meets(flat)


@pytest.mark.parametrize(
    ("start", "end", "met"),
    [((0, 5), (20, 5), True), ((0, 0), (20, 0), False), ((0, 20), (20, 20), False), ((12, 0), (12, 8), True),
     ((0, 0), (9, 9), False), ((0, 30), (30, 0), True), ((2, 2), (2, 9), False)],
)  # fmt: skip
def test_a_line_runs_through_a_box_or_not(start, end, met):
    assert Box(10, 2, 20, 18).crossed(start, end) is met


def test_numbers_are_short():
    text = to_svg(Page(9, 9, "t", "d", (Rect(1 / 3, float(Decimal("0.1") * 3), 1, 1),)))
    assert 'x="0.333"' in text
    assert 'y="0.3"' in text
