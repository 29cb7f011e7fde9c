"""Reading a project: files and their failures, defaults in both units, what the models offer."""

from __future__ import annotations

import json
import os
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType

import pytest
from pydantic import BaseModel, ValidationError

from nesting.errors import BadInput
from nesting.project.faults import faults_of, nearest, path, pointer
from nesting.project.model import Cleats, Offcut, Project, Saw, Sheet, suits
from nesting.project.read import MOST_ENTRIES, project_from_mapping, project_from_text, project_to_mapping, read_project
from nesting.project.text import LARGEST_FILE, parsed
from tests.malformed import BASE, GONE, changed

CO_OP = """
[project]
name = "Bike co-op repair bay"
[saw]
kerf = 0.125
[[sheet]]
name = "birch"
length = "8 ft"
width = 48
thickness = "23/32"
nominal = "3/4"
price = 86.50
[[board]]
name = "pine"
length = "6'"
width = "5 1/2"
thickness = "3/4"
edge_trim = 0
[[offcut]]
name = "rest"
length = "609.6 mm"
width = 20.1
thickness = "23/32"
grain = false
[[cleat]]
name = "row"
length = "47 3/4"
"""


def _fault(file: Path) -> str:
    with pytest.raises(BadInput) as caught:
        read_project(file)
    (fault,) = caught.value.faults
    assert (fault.path, fault.pointer) == ("", "")
    return str(fault)


def test_reads_a_file(tmp_path: Path) -> None:
    file = tmp_path / "co-op.toml"
    file.write_text(CO_OP, encoding="utf-8")
    project = read_project(file)
    assert (project.name, project.unit) == ("Bike co-op repair bay", "in")
    assert project.saw.kerf == Fraction(1, 8)
    birch, pine, rest = project.stocks
    assert (birch.length, birch.price, birch.limit, birch.kind) == (96, Fraction(173, 2), None, "sheet")
    assert (pine.nominal, pine.kind, pine.price) == (Fraction(3, 4), "board", 0)
    assert (rest.length, rest.width, rest.limit, rest.price) == (24, Fraction(201, 10), 1, 0)
    assert [project.trim(stock) for stock in project.stocks] == [Fraction(1, 8), 0, 0]
    assert [project.suits(Fraction(3, 4), stock) for stock in project.stocks] == [True, True, False]


def test_toml_and_json_of_one_project_are_one(tmp_path: Path) -> None:
    file = tmp_path / "co-op.JSON"
    project = project_from_text(CO_OP, "toml")
    file.write_text(json.dumps(project_to_mapping(project)), encoding="utf-8")
    assert read_project(file) == project


def test_a_byte_order_mark_and_windows_lines_do_no_harm(tmp_path: Path) -> None:
    file = tmp_path / "co-op.toml"
    file.write_bytes(b"\xef\xbb\xbf" + CO_OP.replace("\n", "\r\n").encode())
    assert read_project(file) == project_from_text(CO_OP, "toml")


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    assert "there is no such file" in _fault(tmp_path / "none.toml")
    assert "is a folder" in _fault(tmp_path)
    assert "cannot be read" in _fault(tmp_path / ("x" * 5000))
    assert "cannot be read" in _fault(Path("x\0y.toml"))
    (tmp_path / "latin.toml").write_bytes(b'[project]\nname = "caf\xe9"\n')
    assert "line 2 is not UTF-8 text" in _fault(tmp_path / "latin.toml")
    (tmp_path / "large.toml").write_bytes(b"#" * (LARGEST_FILE + 1))
    assert "too large for a project file; accepted: at most 2 MB" in _fault(tmp_path / "large.toml")
    (tmp_path / "wide.toml").write_bytes("name = 'x'".encode("utf-16"))
    assert "line 1 is not UTF-8 text" in _fault(tmp_path / "wide.toml")
    (tmp_path / "empty.toml").write_bytes(b"")
    with pytest.raises(BadInput, match=r"project\.name: is missing; accepted: name of the job"):
        read_project(tmp_path / "empty.toml")


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert "may not be read" in _fault(tmp_path / "secret.toml")


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no endless file here")
def test_an_endless_file_ends() -> None:
    assert "too large" in _fault(Path("/dev/zero"))


def test_odd_file_names_are_said_on_one_line(tmp_path: Path) -> None:
    assert os.linesep not in _fault(tmp_path / "two\nlines.toml")


def test_defaults_in_inches_and_millimetres() -> None:
    inches = project_from_mapping(BASE)
    saw = {"kerf": 3}
    sizes = {"length": 2440, "width": 1220, "thickness": 18}
    cleat = [{"name": "row", "length": 1200}]
    mm = project_from_mapping(
        {"project": {"name": "x", "unit": "mm"}, "saw": saw, "sheet": [{"name": "p", **sizes}], "cleat": cleat}
    )
    assert (inches.project.fence_step, mm.project.fence_step) == (Fraction(1, 32), Fraction(1, 2))
    assert [getattr(inches.saw, key) for key in _SAW_LENGTHS] == [30, 24, Fraction(3, 2), 12, Fraction(1, 8)]
    assert [getattr(mm.saw, key) for key in _SAW_LENGTHS] == [760, 610, 38, 305, 3]
    assert (mm.cleats.wall_height, mm.cleats.holder_height, mm.cleats.thickness, mm.cleats.bevel) == (75, 75, 18, 45)
    assert (mm.saw.first_cut, mm.saw.max_stages, mm.saw.blade_leans, mm.saw.fence_side) == (
        "any",
        None,
        "left",
        "right",
    )
    assert mm.saw.breakdown_saw
    assert mm.saw.sled_shares_table
    assert mm.saw.fence_crosscuts
    assert (mm.sheet[0].price, mm.sheet[0].available, mm.sheet[0].grain) == (0, None, True)
    assert (mm.cleat[0].kind, mm.cleat[0].quantity) == ("wall", 1)
    part = inches.part[1]
    assert (part.quantity, part.grain, part.filler) == (1, "length", False)
    assert inches.project.currency == "USD"


_SAW_LENGTHS = ("rip_capacity", "crosscut_capacity", "narrowest_rip", "shortest_against_fence", "edge_trim")


def test_heights_by_kind() -> None:
    project = project_from_mapping(changed(cleats__holder_height="2 1/2"))
    assert [project.cleats.height(kind) for kind in ("wall", "holder")] == [3, Fraction(5, 2)]


@pytest.mark.parametrize(
    ("unit", "asked", "measured", "nominal", "suited"),
    [
        ("in", "3/4", "23/32", "3/4", True),  # by what it is sold as, though 1/32 in off
        ("in", "47/64", "23/32", "3/4", True),  # within 1/64 in of the measured one
        ("in", "0.7345", "23/32", "23/32", False),  # just beyond
        ("in", "45/64", "23/32", "23/32", True),
        ("mm", 18.4, 18, 18, True),
        ("mm", 18.5, 18, 18, False),
        ("mm", 17.6, 18, 19, True),
        ("mm", 19, 18, 19, True),
    ],
)
def test_thickness_rule(unit: str, asked: object, measured: object, nominal: object, suited: bool) -> None:
    keys = {"name": "ply", "length": 90, "width": 40, "thickness": measured, "nominal": nominal}
    stock = Sheet.model_validate(keys, context={"unit": unit})
    wanted = Sheet.model_validate({**keys, "thickness": asked}, context={"unit": unit}).thickness
    assert suits(wanted, stock, unit) is suited  # type: ignore[arg-type]


def test_exact_fractions_are_taken_where_they_can_be_written_again() -> None:
    project = project_from_mapping(changed(part__0__length=Fraction(175, 32), sheet__0__price=Fraction(173, 2)))
    assert project.part[0].length == Fraction(175, 32)
    assert project_from_mapping(project_to_mapping(project)) == project
    for value, words in ((Fraction(-1), "is not a length here"), (Fraction(1, 10**15), "no exact text")):
        with pytest.raises(BadInput, match=words):
            project_from_mapping(changed(part__0__length=value))
    with pytest.raises(BadInput, match=r"saw\.kerf: -1 is not a length here; accepted: 0 or more"):
        project_from_mapping(changed(saw__kerf=Fraction(-1)))


def test_other_mappings_and_tuples_will_do() -> None:
    data = MappingProxyType({**BASE, "sheet": tuple(MappingProxyType(sheet) for sheet in BASE["sheet"])})
    assert project_from_mapping(data) == project_from_mapping(BASE)


def test_what_is_read_cannot_be_changed() -> None:
    with pytest.raises(ValidationError, match="frozen"):
        project_from_mapping(BASE).saw.kerf = Fraction(0)  # type: ignore[misc]


def test_models_need_the_unit_for_text() -> None:
    with pytest.raises(ValidationError, match="needs the document's unit"):
        Saw.model_validate({"kerf": "1/8"})
    kerf = Fraction(1, 8)
    rest = Offcut.model_validate(
        {"name": "rest", "length": kerf, "width": kerf, "thickness": kerf}, context={"unit": "in"}
    )
    assert rest.nominal == kerf


def test_cleats_left_out_take_the_usual_ones_of_the_unit() -> None:
    project = project_from_mapping(changed(cleats=GONE))
    again = Project.model_validate({"project": project.project, "saw": project.saw})
    assert again.cleats == project.cleats == Cleats.model_validate({}, context={"unit": "in"})


def test_stock_that_was_refused_is_not_missed_by_parts() -> None:
    with pytest.raises(BadInput) as caught:
        project_from_mapping(changed(sheet__0__width="wide"))
    assert [fault.path for fault in caught.value.faults] == ["sheet[1].width"]


def test_cleats_without_a_stock_are_not_asked_for_a_thickness() -> None:
    assert project_from_mapping(changed(cleat=GONE, cleats__thickness="1")).cleat == ()


def test_thicknesses_on_sale_are_listed_up_to_a_dozen() -> None:
    sheets = [{"name": f"s{n}", "length": 40, "width": 20, "thickness": f"{n}/16"} for n in range(1, 15)]
    with pytest.raises(BadInput, match=r"accepted: 1/16, 1/8, 3/16, .*, 3/4 and others in"):
        project_from_mapping(changed(sheet=sheets, part__0__thickness="3", part__1__thickness="1/2"))


def test_the_thickest_stock_decides_how_high_a_cleat_must_be() -> None:
    sizes = {"length": 40, "width": 20, "nominal": "23/32"}
    thick = {"name": "thick", "thickness": "1", **sizes}
    with pytest.raises(BadInput, match=r"cleats\.wall_height: 1 is not higher than the bevel .* = 1 in"):
        project_from_mapping(changed(cleats__wall_height=1, sheet=[*BASE["sheet"], thick]))


def test_as_many_entries_as_promised() -> None:
    parts = [{"name": f"p{n}", "length": 9, "width": 9, "thickness": "1/2"} for n in range(MOST_ENTRIES - 3)]
    assert len(project_from_mapping(changed(part=parts)).part) == MOST_ENTRIES - 3
    with pytest.raises(BadInput, match="part: are too many entries; accepted: at most 2,000"):
        project_from_mapping(changed(part=[*parts, *parts[:1]]))


def test_numbers_of_a_text_are_decimals() -> None:
    assert parsed('{"price": 86.10}', "json") == {"price": Decimal("86.10")}
    with pytest.raises(BadInput, match="too large for a project"):
        parsed("#" * (LARGEST_FILE + 1), "toml")


def test_places() -> None:
    assert path(()) == pointer(()) == ""
    assert path(("part", 0, "a.b\n")) == "part[1].'a.b\\n'"
    assert pointer(("part", 0, "~/")) == "/part/0/~0~1"
    assert nearest("x" * 10_000, ("length",)) is None


def test_refusals_of_a_strange_model_are_still_told() -> None:
    class Strange(BaseModel):
        key: bytes

    with pytest.raises(ValidationError) as caught:
        Strange.model_validate({"key": []}, strict=True)
    assert [str(fault) for fault in faults_of(caught.value, Strange, ("top",), {})] == [
        "top.key: a list is not what belongs here"
    ]
