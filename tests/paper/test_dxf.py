"""The DXF file read back: units, layers, outlines of the right size in the right place, harmless text."""

from io import StringIO
from itertools import pairwise

import ezdxf
import pytest

from nesting.paper.dxf import LAYERS, layouts_dxf
from tests.paper.rich_plan import rich_plan
from tests.paper.sample_plan import sample_plan


def read(data):
    document = ezdxf.read(StringIO(data.decode("utf-8")))
    report = document.audit()
    assert (report.errors, report.fixes) == ([], [])
    return document


def on(document, layer):
    return list(document.modelspace().query(f'*[layer=="{layer}"]'))


def extent(outline):
    xs, ys = zip(*((x, y) for x, y, *_ in outline.get_points()), strict=True)
    return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize(("unit", "code", "metric"), [("in", 1, 0), ("mm", 4, 1)])
def test_units_and_layers(unit, code, metric):
    document = read(layouts_dxf(rich_plan(unit)))
    assert document.dxfversion >= "AC1015"  # R2000, the first with LWPOLYLINE and $INSUNITS (AutoCAD DXF reference)
    assert (document.header["$INSUNITS"], document.header["$MEASUREMENT"]) == (code, metric)
    assert {entity.dxf.layer for entity in document.modelspace()} == set(LAYERS)
    assert all(name in document.layers for name in LAYERS)


def test_outlines_are_closed_and_have_the_size_of_the_plan():
    plan = rich_plan(sheets=3)
    document = read(layouts_dxf(plan))
    nodes = [(at, node) for at, layout in enumerate(plan.layouts) for node in layout.tree.walk()]
    for layer, wanted in (
        ("sheet", [(at, layout.tree) for at, layout in enumerate(plan.layouts)]),
        ("part", [(at, node) for at, node in nodes if node.role == "part"]),
        ("offcut", [(at, node) for at, node in nodes if node.role == "offcut"]),
    ):
        outlines = on(document, layer)
        assert len(outlines) == len(wanted) > 0
        for outline, (at, node) in zip(outlines, wanted, strict=True):
            assert outline.dxftype() == "LWPOLYLINE"
            assert outline.closed
            left = at * 1.1 * 96
            shape = (left + node.x, node.y, left + node.x + node.length, node.y + node.width)
            assert extent(outline) == pytest.approx(shape, abs=1e-6)


def test_layouts_do_not_touch():
    sheets = sorted(extent(sheet) for sheet in on(read(layouts_dxf(rich_plan(sheets=3))), "sheet"))
    assert all(before[2] < after[0] for before, after in pairwise(sheets))


def test_each_cut_is_a_line_and_a_bevel_rip_two():
    plan = rich_plan()
    cuts = on(read(layouts_dxf(plan)), "cut")
    bevels = [step for step in plan.steps if step.bevel]
    assert {cut.dxftype() for cut in cuts} == {"LINE"}
    assert len(cuts) == len(plan.steps) + len(bevels)
    assert sum(cut.dxf.linetype == "DASHED" for cut in cuts) == len(bevels) == 1
    dashed = next(cut for cut in cuts if cut.dxf.linetype == "DASHED")
    faced = min((cut for cut in cuts if cut is not dashed), key=lambda cut: abs(cut.dxf.start.y - dashed.dxf.start.y))
    # the blade leans by 45 degrees: between face and underside it moves by the thickness
    assert abs(faced.dxf.start.y - dashed.dxf.start.y) == pytest.approx(0.71875, abs=1e-3)
    rip = plan.steps[0]
    assert any(cut.dxf.start.y == pytest.approx(rip.setting + 0.0625) == cut.dxf.end.y for cut in cuts)


def test_the_same_bytes_again():
    assert layouts_dxf(rich_plan()) == layouts_dxf(rich_plan())


def test_the_option_for_fixed_dates_is_put_back():
    before = ezdxf.options.write_fixed_meta_data_for_testing
    layouts_dxf(sample_plan())
    assert ezdxf.options.write_fixed_meta_data_for_testing is before


@pytest.mark.parametrize("name", ["%%uunder%%d", "\\U+0041", "^J", "שלום", "棚 😀", "x" * 300, "a\x00\nb", "\ud800"])
def test_names_are_no_codes(name):
    texts = [text.dxf.text for text in on(read(layouts_dxf(rich_plan(names=(name, name, name)))), "label")]
    assert len(texts) == 1 + 7 + 1 + 1
    assert all("%%" not in text and "\n" not in text and len(text) < 120 for text in texts)


def test_a_plan_without_layouts_is_an_empty_drawing():
    assert list(read(layouts_dxf(sample_plan(layouts=(), steps=()))).modelspace()) == []
