"""The starter file can be planned and explains every key; the shipped schema is that of the models."""

from __future__ import annotations

import json
import re
import runpy
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

import nesting.project.schema
from nesting.project.holder_keys import Holder
from nesting.project.model import CleatAsked, Cleats, Head, Offcut, Part, Project, Saw, Sheet
from nesting.project.read import project_from_text, project_to_mapping
from nesting.project.schema import as_text, project_schema, shipped_schema
from nesting.project.starter import starter_text
from nesting.project.wall_keys import Keepout, Studs, Wall, WallScrews
from tests.malformed import LEGAL, MALFORMED, Row


def test_starter_is_read_and_given_back() -> None:
    project = project_from_text(starter_text(), "toml")
    assert project_from_text(json.dumps(project_to_mapping(project)), "json") == project
    assert (project.unit, project.saw.max_stages, project.saw.first_cut) == ("in", None, "any")
    assert [stock.kind for stock in project.stocks] == ["sheet", "sheet", "sheet", "offcut"]
    assert sum(part.filler for part in project.part) == 1
    assert {cleat.kind for cleat in project.cleat} == {"wall", "holder"}


def test_starter_names_every_key() -> None:
    for model in (Head, Saw, Sheet, Offcut, Part, Cleats, CleatAsked):
        for key in model.model_fields:
            assert re.search(rf"^(# )?{key} = .+#|^{key} = ", starter_text(), re.M), key


def test_starter_of_a_wall_names_every_key_of_walls_and_holders() -> None:
    text = starter_text(wall=True)
    for model in (Wall, Studs, WallScrews, Keepout, Holder):
        for key in model.model_fields.keys() - {"studs", "keepout", "slots"}:
            assert re.search(rf"^(# )?{key} = .+#|^{key} = |^\[wall\.{key}\]", text, re.M), key
    assert "slots = {" in text
    assert max(map(len, text.splitlines())) <= 120


def test_starter_of_a_wall_holds_the_defaults_it_tells() -> None:
    full = project_from_text(starter_text(wall=True), "toml")
    wall = full.wall
    assert wall is not None
    bare = Wall.model_validate({"width": 144, "height": 57}, context={"unit": "in"})
    assert (wall.overhang, wall.embedment, wall.start) == (bare.overhang, bare.embedment, bare.start)
    assert wall.screws == bare.screws
    assert wall.studs.stud_width == bare.studs.stud_width
    assert {holder.style for holder in full.holder} >= {"shelf", "rack", "bin", "box", "back"}
    assert project_from_text(json.dumps(project_to_mapping(full)), "json") == full


def test_starter_holds_the_defaults_it_tells() -> None:
    given = tomllib.loads(starter_text())
    bare = project_from_text(_without_defaults(starter_text()), "toml")
    full = project_from_text(starter_text(), "toml")
    assert given["saw"].keys() - {"kerf"}
    assert bare.saw == full.saw
    assert bare.cleats == full.cleats
    assert bare.project == full.project


def _without_defaults(text: str) -> str:
    """Return the starter with every optional key of [project], [saw] and [cleats] left out."""
    kept, table = [], ""
    for line in text.splitlines():
        table = line if line.startswith("[") else table
        if table in ("[saw]", "[project]", "[cleats]") and line.strip() and not re.match(r"\[|kerf|name|#", line):
            continue
        kept.append(line)
    return "\n".join(kept)


def test_starter_has_lines_that_fit_a_page() -> None:
    assert max(map(len, starter_text().splitlines())) <= 120


def test_shipped_schema_is_that_of_the_models() -> None:
    assert shipped_schema() == project_schema()
    assert as_text(shipped_schema()) == as_text(project_schema())


def test_schema_module_prints_the_file(capsys: pytest.CaptureFixture[str]) -> None:
    path = Path(nesting.project.schema.__file__)
    runpy.run_path(str(path), run_name="__main__")
    assert capsys.readouterr().out == path.with_name("project.schema.json").read_text(encoding="utf-8")


def test_schema_is_one() -> None:
    jsonschema.Draft202012Validator.check_schema(shipped_schema())
    assert shipped_schema()["$id"] == "urn:cleatwright:schema:project:1"


def test_every_key_is_described_and_required_ones_say_so() -> None:
    schema = shipped_schema()
    for name, table in schema["$defs"].items():
        for key, about in table["properties"].items():
            told = about.get("description", "")
            assert told, f"{name}.{key}"
            assert ("Required." in told) is (key in table.get("required", [])), f"{name}.{key}"
            assert ("Required." in told) or ("Default" in told), f"{name}.{key}"
    assert schema["properties"].keys() == Project.model_fields.keys()


def _accepts(document: Any) -> bool:
    return jsonschema.Draft202012Validator(shipped_schema()).is_valid(document)


@pytest.mark.parametrize("row", LEGAL, ids=lambda row: row.id)
def test_schema_accepts_what_the_reader_accepts(row: Row) -> None:
    assert _accepts(row.document)


def test_schema_accepts_the_starter_and_its_canonical_form() -> None:
    assert _accepts(tomllib.loads(starter_text()))
    assert _accepts(project_to_mapping(project_from_text(starter_text(), "toml")))


def _one_key_tells(row: Row) -> bool:
    """Whether a schema can tell; JSON has no difference between 3 and 3.0."""
    kinds = ("key", "kind", "unit", "quantity", "stages", "empty", "no stock", "nothing")
    return not isinstance(row.document, str) and row.id.startswith(kinds) and row.id != "quantity a float"


@pytest.mark.parametrize("row", list(filter(_one_key_tells, MALFORMED)), ids=lambda row: row.id)
def test_schema_refuses_what_one_key_tells(row: Row) -> None:
    assert not _accepts(row.document)
