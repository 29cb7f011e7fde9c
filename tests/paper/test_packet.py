"""The packet read back: sizes, pages, words, tags, faces, and the same bytes again."""

import json
import math
import re
import unicodedata
from datetime import date
from io import BytesIO

import pypdf
import pytest

from nesting.draw.ink import Page
from nesting.errors import BadInput, Bug
from nesting.paper import packet as subject
from nesting.paper.hung import loads
from nesting.paper.labels import labels_of
from nesting.paper.packet import packet_pdf, today, usual_paper
from nesting.plan import Plan, WarningDocument, WorkDocument
from tests.paper.rich_plan import rich_plan
from tests.paper.sample_plan import sample_plan

DAY = date(2026, 11, 25)
# ISO 216 for A4; US Letter is 8 1/2 x 11 in (ANSI/ASME Y14.1, sheet A)
MILLIMETRES = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
HOSTILE = ("#evil[x] $y$ *z* @ref", "=cmd|' /C calc'!A0", "</text><script>alert(1)</script>")


def read(data: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(BytesIO(data))


def words(page: pypdf.PageObject) -> str:
    """The text of a page on one line, without marks that only steer its setting."""
    text = "".join(sign for sign in page.extract_text() if unicodedata.category(sign) != "Cf")
    return " ".join(text.replace("\u00a0", " ").split())


def pages(plan: Plan, **how) -> list[str]:
    return [words(page) for page in read(packet_pdf(plan, on=DAY, **how)).pages]


@pytest.fixture(scope="module")
def rich() -> Plan:
    return rich_plan()


@pytest.fixture(scope="module")
def on_letter(rich) -> bytes:
    return packet_pdf(rich, on=DAY)


@pytest.fixture(scope="module")
def texts(on_letter) -> list[str]:
    return [words(page) for page in read(on_letter).pages]


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_pages_have_the_size_of_the_paper(rich, paper):
    for page in read(packet_pdf(rich, paper=paper, on=DAY)).pages:
        size = tuple(sorted(float(side) / 72 * 25.4 for side in page.mediabox[2:]))
        assert size == pytest.approx(MILLIMETRES[paper], abs=0.1)


def test_paper_follows_the_unit(rich):
    assert usual_paper(rich) == "letter"
    metric = rich_plan("mm")
    assert usual_paper(metric) == "a4"
    page = read(packet_pdf(metric, on=DAY)).pages[0]
    assert [round(float(side) / 72 * 25.4) for side in page.mediabox[2:]] == [210, 297]


def test_every_page_is_numbered_named_and_dated(texts):
    found = texts
    assert len(found) > 4
    for number, text in enumerate(found, 1):
        assert f"{number} of {len(found)}" in text
        assert "Repair bay" in text
        assert "25 November 2026" in text


def test_cover_says_what_to_buy_what_is_proven_and_what_to_mind(rich):
    work = WorkDocument(
        rules=("Square work first.",), sheet_by_sheet=9, recurring=("the stop is set again.",) * 5,
        drift=({"layout": "A1", "kerf": None, "kerf_piece": None, "thickness": None, "thickness_piece": None,
                "text": "A1: the kerf may be 1 in wider."},),
    )  # fmt: skip
    warnings = (WarningDocument(code="near", text="A shelf nearly fits.", where="shelf"),)
    plan = rich.model_copy(update={"work": work, "warnings": warnings, "bound_text": "area alone needs one sheet"})
    cover, drawn, *_ = pages(plan)
    for said in (
        "Repair bay", "1 × 18 mm birch, 4x8 96 × 48 in, 23/32 thick at 86.50 86.50", "86.50 USD",
        "Cheapest: no choice of stocks below", "Area alone needs one sheet.", "Rules in force: Square work first.",
        "Sheet by sheet it would be 9 settings", "The stop is set again.", "2 more are made again",
        "A shelf nearly fits. (shelf)", "Guard and riving knife", "Layouts: page 2 · Steps: page 3",
    ):  # fmt: skip
        assert said in cover
    assert "The kerf may be 1 in wider." in drawn


def test_every_setting_and_step_is_there(rich, texts):
    text = " ".join(texts)
    assert {step.station for step in rich.steps} == {"breakdown saw", "table saw", "crosscut sled"}
    for step in rich.steps:
        assert f"{step.n}. {step.piece} " in text
        assert f"Setting {step.setup} of {rich.setups.total}" in text
    assert "2 9/32 in, fence, at the table Blade 45° to the left, leaning away from the fence" in text
    assert "lower edge to the fence; makes piece A1.1a (3 tall) and hook (3 tall)" in text
    assert "measured from the lower edge" in text
    assert "left end to the stop; makes 2 × row" not in text  # 40 and what is left are two sizes
    assert "left end to the stop; makes row (40) and row (55 7/8)" in text


def test_cautions_stand_at_their_cuts(rich):
    bevel = next(step for step in rich.steps if step.bevel)
    sharing = [step.n for step in rich.steps if step.station == "crosscut sled"][:2]
    warnings = (
        WarningDocument(code="a", text="Use a push block here.", where=f"step {bevel.n}"),
        WarningDocument(code="b", text="Hold both ends.", where=f"steps {sharing[0]}-{sharing[1]}"),
    )
    cover, *rest = pages(rich.model_copy(update={"warnings": warnings}))
    assert "push block here" not in cover
    text = " ".join(rest)
    assert (
        text.index("2 9/32 in, fence") < text.index("Use a push block here.") < text.index(f"{bevel.n}. {bevel.piece}")
    )
    assert "Hold both ends." in text


def test_steps_whose_pieces_are_all_waste_say_so(rich):
    first = rich.steps[0].model_copy(update={"matters": ("waste", "waste")})
    text = " ".join(pages(rich.model_copy(update={"steps": (first, *rich.steps[1:])})))
    assert text.count("an error here does no harm") == 1


def test_crosscuts_stand_by_stop_longest_first(rich, texts):
    text = next(text for text in texts if text.startswith("Crosscuts by stop"))
    stops = {step.setting for step in rich.steps if step.station == "crosscut sled"}
    assert stops == {40.0, 22.5}
    assert text.index("40 in, stop") < text.index("22 1/2 in, stop")
    assert text.count("stop from the blade") == 2


@pytest.mark.parametrize(("paper", "each"), [("letter", 30), ("a4", 21)])
def test_each_part_has_a_label(paper, each):
    plan = rich_plan(sheets=5)
    found = labels_of(plan)
    assert len(found) == 35
    sheets = [words(page) for page in read(packet_pdf(plan, paper=paper, on=DAY)).pages[-math.ceil(35 / each) :]]
    for label in found:
        assert sum(f"{label.piece} layout {label.layout} step {label.step}" in text for text in sheets) == 1


def test_the_same_bytes_again(rich, on_letter):
    assert packet_pdf(rich, on=DAY) == on_letter
    assert packet_pdf(rich, on=date(2026, 11, 26)) != on_letter


def test_it_is_accessible_and_brings_its_faces(on_letter):
    reader = read(on_letter)
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert reader.metadata.title == "Repair bay"
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()  # ISO 14289-1, clause 5
    drawings = [text for text in _alternates(root["/StructTreeRoot"]) if text.startswith("Layout A1")]
    assert len(drawings) == 1
    faces = {
        font.get_object()["/BaseFont"].partition("+")[2]
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert faces
    assert all(face.startswith(("LibertinusSerif", "DejaVuSansMono")) for face in faces)


def _alternates(tree: pypdf.generic.DictionaryObject) -> list[str]:
    found, todo = [], [tree]
    while todo:
        node = todo.pop().get_object()
        if isinstance(node, pypdf.generic.ArrayObject):
            todo += list(node)
        elif isinstance(node, pypdf.generic.DictionaryObject):
            if "/Alt" in node:
                found.append(str(node["/Alt"]))
            if "/K" in node:
                todo.append(node["/K"])
    return found


def test_names_are_shown_as_they_are():
    plan = rich_plan(names=HOSTILE)
    text = " ".join(pages(plan))
    for name in HOSTILE:
        assert name in text


@pytest.mark.parametrize(
    "names",
    [
        ("x" * 200, "W" * 300, "a\u0301" * 50),
        ("שלום עולם", "\u202egnp.exe", "\x00\x1b[31m"),
        ("棚板", "shelf 😀", "\u202e"),
    ],
    ids=["long", "other way", "other script"],
)
def test_any_name_can_be_set(names):
    found = read(packet_pdf(rich_plan(names=names, project=names[1]), on=DAY))
    assert len(found.pages) == pytest.approx(7, abs=3)
    assert found.metadata.title


def test_right_to_left_names_leave_the_figures_beside_them_alone():
    plan = rich_plan(names=("מדף", "row", "hook"))
    label = next(
        text for text in subject._document(plan, "letter", DAY)["sections"][-1]["labels"] if "מ" in text["part"]
    )
    assert label["part"] == "\u2068מדף\u2069"
    assert label["size"] == "9 × 22\u00a01/2 × 23/32"


def test_many_layouts():
    found = pages(sample_plan(tuple(f"A{at}" for at in range(1, 31)), steps=()))
    assert sum("On this piece" in text for text in found) == 30
    assert f"{len(found)} of {len(found)}" in found[-1]


def test_many_parts():
    plan = rich_plan(sheets=7, shelves=97, steps=())
    many = len(labels_of(plan))
    assert many > 600
    drawn = {layout.id: Page(72, 72, "A drawing", "Empty.", ()) for layout in plan.layouts}
    labels = [words(page) for page in read(packet_pdf(plan, on=DAY, drawn=drawn)).pages[-math.ceil(many / 30) :]]
    assert sum(text.count(" no cut") for text in labels) == many


def test_a_plan_from_elsewhere_needs_no_job_steps_or_stocks():
    bare = sample_plan().model_copy(update={"job": None, "steps": (), "buy": (), "bound_text": None})
    cover, drawn, labels = pages(bare)
    assert "Nothing." in cover
    assert "face grain" not in drawn
    assert "no cut" in labels


def test_a_plan_of_nothing_has_a_cover():
    bare = sample_plan().model_copy(update={"layouts": (), "steps": (), "project": ""})
    (cover,) = pages(bare)
    assert cover.startswith("Plan 25 November 2026. 0 parts from 0 pieces of stock.")
    assert "In this packet" not in cover


def test_loads_are_told_where_the_plan_has_them(rich):
    usual = {"demand": 30.0, "capacity": 125.5, "unit": "lb", "governs": "the screws", "source": "a standard"}
    rows = [
        usual | {"item": "row 1 a", "check": "withdrawal", "ratio": 0.239, "sentence": "It holds."},
        usual | {"item": "=x", "check": "shelf", "ratio": 1.2, "sentence": "It bends.", "remedy": "Make it thicker."},
    ]  # fmt: skip
    load = {"rows": rows, "not_covered": ["Earthquakes are not."]}
    document = rich.model_dump(by_alias=True) | {"load": load}
    found = next(text for text in pages(Plan.model_validate(document)) if text.startswith("What carries it"))
    assert "row 1 a withdrawal 30 125.5 lb 24 %" in found
    assert "Do not build this as it is: 1 check of 2" in found
    assert found.index("It bends. Make it thicker.") < found.index("row 1 a")
    assert "It holds." not in found
    assert "Earthquakes are not." in found


def test_a_plan_without_loads_has_no_page_for_them(rich):
    assert loads(rich) == []


def test_short_fillers_are_told(rich):
    parts = ({"name": "block", "length": 3.0, "width": 3.0, "thickness": 0.71875, "asked": 9, "made": 4},)
    plan = Plan.model_validate(rich.model_dump(by_alias=True) | {"parts": parts})
    assert "block: 4 of at most 9, from what is left over." in pages(plan)[0]


def test_faces_hold_what_is_said_to_be_built_in():
    """Set under PDF/UA-1, which allows no sign that the faces lack."""
    import typst

    signs = [chr(code) for low, high in subject._BUILT_IN for code in range(low, high + 1)] + sorted(subject._SIGNS)
    source = '#set document(title: [t])\n#set text(lang: "en", font: ("Libertinus Serif", "DejaVu Sans Mono"))\n'
    source += "#for sign in json(bytes(sys.inputs.signs)) [#sign #strong(sign)]"
    data = typst.compile(
        source.encode(), format="pdf", ignore_system_fonts=True, pdf_standards=["ua-1"],
        sys_inputs={"signs": json.dumps(signs)},
    )  # fmt: skip
    assert data[:5] == b"%PDF-"


def test_lettering_of_drawings_knows_its_widths():
    """The table of widths against typst's own measure of the face."""
    import typst

    from nesting.draw import hand

    source = (
        '#let wide(sign, how) = measure(text(font: "Libertinus Serif", size: 1000pt, weight: how, sign)).width.pt()\n'
        "#context [#metadata(range(33, 127).map(str.from-unicode).map(s => (wide(s, 400), wide(s, 700))))<w>]"
    )
    measured = json.loads(typst.query(source.encode(), "<w>", field="value", one=True, ignore_system_fonts=True))
    assert [round(plain) for plain, _ in measured] == list(hand._widths(False)[1:])
    assert [round(bold) for _, bold in measured] == list(hand._widths(True)[1:])


def test_a_template_that_fails_is_a_bug(rich, monkeypatch):
    monkeypatch.setattr(subject, "_document", lambda *_: {})
    with pytest.raises(Bug, match="the packet cannot be set"):
        packet_pdf(rich, on=DAY)


def test_date_is_today_or_the_one_of_the_environment(monkeypatch):
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    assert today() == date.today()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1764028800")
    assert today() == date(2025, 11, 25)


@pytest.mark.parametrize("given", ["", "soon", "-1", "1.5", "9" * 30])
def test_other_dates_of_the_environment_are_refused(monkeypatch, given):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", given)
    with pytest.raises(BadInput) as caught:
        today()
    (fault,) = caught.value.faults
    assert re.match("SOURCE_DATE_EPOCH", str(fault))
