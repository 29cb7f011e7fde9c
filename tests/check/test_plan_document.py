"""The plan file: read, written, refused with every fault; the shipped schema is that of the models."""

from __future__ import annotations

import json
from fractions import Fraction
from importlib.resources import files
from typing import Any

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import BadInput
from nesting.json_text import NotJson, read_json, write_json
from nesting.layout import Layout, Node
from nesting.plan import (
    LARGEST_FILE,
    MOST_FAULTS,
    layout_document,
    number,
    plan_from_json,
    plan_schema_text,
    plan_to_json,
    setups_document,
    step_document,
    warning_document,
)
from nesting.steps import Caution, Setups, Step
from tests.check.by_hand import document, plan_of

F = Fraction

# -- JSON text

JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**30), 10**30)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"])),
    lambda below: (
        st.lists(below, max_size=4) | st.dictionaries(st.text(st.characters(exclude_categories=["Cs"])), below)
    ),
    max_leaves=12,
)


@given(JSON_VALUES)
def test_text_is_read_and_written_as_the_standard_library_does(value: Any) -> None:
    assert json.loads(write_json(value)) == value
    assert read_json(write_json(value), 50) == value
    assert read_json(json.dumps(value), 50) == value
    assert read_json(json.dumps(value), 5000) == value  # by the quick reader


@given(st.text('{}[],:" 0123456789.eE+-truefalsn\\u\n', max_size=12))
def test_text_is_refused_where_the_standard_library_refuses(text: str) -> None:
    def refuse(word: str) -> None:
        raise ValueError(word)

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        if len(dict(pairs)) < len(pairs):
            raise ValueError("twice")
        return dict(pairs)

    try:
        expected = json.loads(text, parse_constant=refuse, object_pairs_hook=once)
        json.dumps(expected, allow_nan=False, ensure_ascii=False).encode()
    except ValueError:
        for deepest in (50, 5000):
            with pytest.raises(NotJson):
                read_json(text, deepest)
    else:
        assert read_json(text, 50) == read_json(text, 5000) == expected


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "line 1, column 1: a value was expected"),
        ('{"a": 1,\n "a": 2}', 'line 2, column 2: the key "a" is given twice'),
        ('{"a": NaN}', "a value was expected"),
        ("[-Infinity]", "a value or ] was expected"),
        ("[1e999]", "1e999 is too large or too long a number"),
        ("[" + "9" * 500 + "]", "9999999999 is too large or too long a number"),
        ('["\\ud800"]', "half of a surrogate pair"),
        ('["a', "unterminated string"),
        ('["\t"]', "invalid control character"),
        ("[1 2]", "a comma or ] was expected"),
        ('{"a" 1}', "a colon was expected"),
        ("{1: 2}", "a key in quotes or } was expected"),
        ('{"a": 1,}', "a key in quotes was expected"),
        ("[1,]", "a value was expected"),
        ("[1}", "a comma or ] was expected"),
        ("{} {}", "the end of the text was expected"),
        ("[" * 51, "nested more than 50 levels deep"),
        ("\ufeff{}", "a value was expected"),
        ("01", "the end of the text was expected"),
    ],
)
def test_what_is_wrong_with_a_text_is_told(text: str, message: str) -> None:
    with pytest.raises(NotJson) as caught:
        read_json(text, 50)
    assert message in str(caught.value)


# -- to the document


def test_numbers_are_decimals_without_noise() -> None:
    assert [number(F(n, d)) for n, d in ((29, 2), (1, 3), (175, 32), (96, 1))] == [14.5, 0.333333333, 5.46875, 96.0]
    assert abs(F(number(F(25, 7))) - F(25, 7)) < F(1, 10**9)


def test_cut_tree_to_document() -> None:
    part = Node("A1.1", F(0), F(0), F(20), F(5), "part", part="door", turned=True)
    waste = Node("A1.2", F(0), F(41, 8), F(20), F(1, 3), "waste")
    root = Node("A1", F(0), F(0), F(20), F(131, 24), "cut", "rip", F(0), (part, waste))
    made = layout_document(Layout("A1", "rest", F(20), F(131, 24), F(3, 4), root))
    assert made.tree.pieces[0].part == "door"
    plan = plan_of(document()).model_copy(update={"layouts": (made,)})
    written = json.loads(plan_to_json(plan))["layouts"][0]
    assert written == {
        "id": "A1",
        "stock": "rest",
        "length": 20,
        "width": 5.458333333,
        "thickness": 0.75,
        "tree": {
            "id": "A1", "x": 0, "y": 0, "length": 20, "width": 5.458333333, "role": "cut", "cut": "rip", "bevel": 0,
            "pieces": [
                {
                    "id": "A1.1", "x": 0, "y": 0, "length": 20, "width": 5, "role": "part", "part": "door",
                    "turned": True,
                },
                {"id": "A1.2", "x": 0, "y": 5.125, "length": 20, "width": 0.333333333, "role": "waste"},
            ],
        },
    }  # fmt: skip


def test_steps_setups_and_warnings_to_documents() -> None:
    step = Step(1, "A1", "A1", "table saw", "rip", F(0), F(12), "low", "away", ("A1.1", "A1.2"), 1)
    assert step_document(step).leans is None  # nothing leans at a square cut
    bevelled = Step(2, "A1", "A1", "table saw", "rip", F(45, 2), F(73, 32), "low", "away", ("A1.1", "A1.2"), 1)
    assert step_document(bevelled, ("part", "waste")).model_dump() == {
        "n": 2, "layout": "A1", "piece": "A1", "station": "table saw", "cut": "rip", "bevel": 22.5,
        "setting": 2.28125, "against": "low", "leans": "away", "makes": ("A1.1", "A1.2"), "setup": 1,
        "matters": ("part", "waste"),
    }  # fmt: skip
    counted = setups_document(Setups(7, 4, 3, 2, 13, False))
    assert (counted.total, counted.bound, counted.proven) == (14, 13, False)
    assert warning_document(Caution("short_piece", "Take care.", "step 3")).where == "step 3"


def test_a_plan_comes_back_as_it_was() -> None:
    changed = document() | {"seed": 3, "seconds": 10, "bound_kind": "area", "bound_text": "They need 1.02 sheets."}
    text = plan_to_json(plan_of(changed))
    assert text.endswith("}\n")
    assert json.loads(text) == changed
    assert plan_to_json(plan_from_json(text)) == text


def test_keys_of_other_programs_are_kept() -> None:
    changed = document() | {"shop": {"rows": [{"y": 72}]}, "printed": None}
    changed["layouts"][1]["tree"]["pieces"][0]["colour"] = ["red", {"deep": [1.5]}]
    changed["steps"][0]["minutes"] = 4
    changed["setups"]["walked"] = "far"
    changed["buy"][0]["shop"] = "Łódź ½ \u202e"
    assert json.loads(plan_to_json(plan_of(changed))) == changed


def test_what_other_programs_leave_out() -> None:
    changed = document()
    del changed["job"], changed["warnings"]
    plan = plan_of(changed)
    assert (plan.job, plan.bound_kind, plan.seed, plan.warnings) == (None, None, None, ())
    assert json.loads(plan_to_json(plan)) == changed | {"warnings": []}


# -- refused


def refused(text: str) -> dict[str, str]:
    with pytest.raises(BadInput) as caught:
        plan_from_json(text)
    return {fault.pointer: str(fault) for fault in caught.value.faults}


def test_every_fault_is_told_with_its_place() -> None:
    changed = document()
    del changed["schema"], changed["parts"][0]["asked"]
    changed["unit"] = "furlong"
    changed["cost"] = -1
    changed["proven"] = "yes"
    changed["buy"] = {}
    changed["steps"][2]["n"] = 2.5
    changed["steps"][3]["makes"] = [1]
    changed["setups"] = 3
    tree = changed["layouts"][0]["tree"]
    tree["pieces"][0]["width"] = 0
    tree["pieces"][1]["pieces"][0]["x"] = True
    tree["pieces"][1]["pieces"][1]["role"] = "scrap"
    changed["layouts"][1]["tree"]["pieces"][1] = 7
    changed["layouts"][2]["tree"] = "A1"
    assert refused(json.dumps(changed)) == {
        "/schema": 'schema: is missing; accepted: "cleatwright/plan/1"',
        "/layouts/0/tree/pieces/0/width": "layouts[1].tree.pieces[1].width: 0 is out of range; accepted: more than 0",
        "/layouts/0/tree/pieces/1/pieces/0/x": "layouts[1].tree.pieces[2].pieces[1].x: true is not a number",
        "/layouts/0/tree/pieces/1/pieces/1/role": "layouts[1].tree.pieces[2].pieces[2].role: 'scrap' is none of the "
        'choices; accepted: "cut", "part", "offcut" or "waste"',
        "/layouts/1/tree/pieces/1": "layouts[2].tree.pieces[2]: 7 is not an object",
        "/layouts/2/tree": "layouts[3].tree: 'A1' is not an object",
        "/unit": 'unit: \'furlong\' is none of the choices; accepted: "in" or "mm"',
        "/cost": "cost: -1 is out of range; accepted: 0 or more",
        "/proven": "proven: 'yes' is not true or false",
        "/buy": "buy: a table is not a list",
        "/parts/0/asked": "parts[1].asked: is missing",
        "/steps/2/n": "steps[3].n: 2.5 is not a whole number",
        "/steps/3/makes/0": "steps[4].makes[1]: 1 is not a text",
        "/setups": "setups: 3 is not an object",
    }


@pytest.mark.parametrize("text", ["[]", "3", "null", '"plan"', "{", "", '{"cost": NaN}', '{"cost": 1e999}', "[" * 6000])
def test_what_is_no_plan_at_all(text: str) -> None:
    assert "the plan is not" in refused(text)[""]


def test_a_plan_that_is_too_large() -> None:
    assert "is larger than 64,000,000 characters" in refused(" " * (LARGEST_FILE + 1))[""]


def test_very_many_faults_are_cut_short() -> None:
    changed = document()
    changed["steps"] = [{}] * 1000
    found = refused(json.dumps(changed))
    assert len(found) == MOST_FAULTS + 1
    assert found[""] == "and 9800 more faults"


def test_out_of_range_and_odd_values() -> None:
    changed = document()
    changed["steps"][0]["bevel"] = 90
    changed["layouts"][0]["width"] = 2e9
    changed["job"] = 5
    changed["layouts"][1]["tree"]["pieces"] = {"low": 1}
    found = refused(json.dumps(changed))
    assert found["/steps/0/bevel"].endswith("accepted: less than 90")
    assert found["/layouts/0/width"].endswith("accepted: 1,000,000,000 or less")
    assert found["/job"] == "job: 5 is not an object"
    assert found["/layouts/1/tree/pieces"].endswith("is not a list")


# -- the schema


def shipped() -> str:
    return files("nesting").joinpath("plan.schema.json").read_text(encoding="utf-8")


def test_shipped_schema_is_that_of_the_models() -> None:
    """After a change of the models, write ``plan_schema_text()`` into nesting/plan.schema.json."""
    assert shipped() == plan_schema_text()


def test_schema_accepts_the_plan_and_what_is_added_to_it() -> None:
    schema = json.loads(shipped())
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$id"] == "urn:cleatwright:schema:plan:1"
    validator = jsonschema.Draft202012Validator(schema)
    assert validator.is_valid(document())
    assert validator.is_valid(document() | {"more": 1})
    for key in ("schema", "unit", "buy", "setups"):
        assert not validator.is_valid({name: value for name, value in document().items() if name != key})
    changed = document()
    changed["layouts"][0]["tree"]["pieces"][0]["role"] = "scrap"
    assert not validator.is_valid(changed)


def test_every_key_is_described() -> None:
    schema = json.loads(shipped())
    for table in [schema, *schema["$defs"].values()]:
        assert all("description" in key for key in table["properties"].values())
