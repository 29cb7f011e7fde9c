"""The table of malformed projects: every slip is named with its place and in plain words."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import BadInput, Fault
from nesting.project.model import Project
from nesting.project.read import project_from_mapping, project_from_text, project_to_mapping
from tests.malformed import BASE, LEGAL, MALFORMED, Row, changed

JARGON = re.compile(r"pydantic|Input should|valid(ation)? error|Traceback|https?://|Decimal|Fraction|NoneType")


def _read(row: Row) -> Project:
    if isinstance(row.document, str):
        return project_from_text(row.document, row.form)
    return project_from_mapping(row.document)


@pytest.mark.parametrize("row", MALFORMED, ids=lambda row: row.id)
def test_says_what_is_wrong_and_where(row: Row) -> None:
    with pytest.raises(BadInput) as caught:
        _read(row)
    faults = caught.value.faults
    assert [fault.path for fault in faults] == [path for path, _ in row.faults], str(caught.value)
    for fault, (_, words) in zip(faults, row.faults, strict=True):
        assert words in str(fault)
        assert not JARGON.search(str(fault))
        assert str(fault).isprintable()
        assert len(str(fault)) < 600


@pytest.mark.parametrize("row", LEGAL, ids=lambda row: row.id)
def test_takes_what_is_legal_and_gives_it_back(row: Row) -> None:
    project = _read(row)
    assert project_from_mapping(project_to_mapping(project)) == project


def test_table_is_as_large_as_promised_and_ids_are_unique() -> None:
    ids = [row.id for row in (*MALFORMED, *LEGAL)]
    assert len(MALFORMED) >= 70
    assert len(set(ids)) == len(ids)


def test_faults_point_into_json() -> None:
    with pytest.raises(BadInput) as caught:
        project_from_mapping(changed(part__1__width="wide", **{"saw__a/b": 1}))
    assert [fault.pointer for fault in caught.value.faults] == ["/saw/a~1b", "/part/1/width"]


_WORDS = st.sampled_from([
    "project", "saw", "sheet", "board", "offcut", "part", "cleats", "cleat", "wall", "holder", "name", "kerf", "length",
    "width", "thickness", "nominal", "quantity", "unit", "grain", "bevel", "price", "available", "fence_step", "kind",
])  # fmt: skip
_LEAVES = (
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.decimals()
    | st.text(st.characters(codec=None), max_size=8)
    | st.sampled_from(["in", "mm", "1/2", "96", "any", 48, 96.5, "5' 6 1/2\""])
)
_TREES = st.recursive(
    _LEAVES,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(_WORDS | st.text(st.characters(codec=None), max_size=4), inner, max_size=5)
    ),
    max_leaves=25,
)


@given(st.dictionaries(_WORDS, _TREES, max_size=9))
@settings(max_examples=150, deadline=None)
def test_arbitrary_tables_are_read_or_refused(data: dict[str, object]) -> None:
    _never_anything_else(data)


@given(data=st.data())
@settings(max_examples=150, deadline=None)
def test_a_good_project_with_one_value_replaced_is_read_or_refused(data: st.DataObject) -> None:
    table = data.draw(st.sampled_from([key for key in BASE if key != "project"]))
    at = 0 if isinstance(BASE[table], list) else None
    keys = BASE[table][0] if at == 0 else BASE[table]
    where = "__".join([table, *(["0"] if at == 0 else []), data.draw(st.sampled_from(list(keys)))])
    _never_anything_else(changed(**{where: data.draw(_TREES)}))


def _never_anything_else(data: dict[str, object]) -> None:
    """Reading ends in a project that can be given back, or in faults that can be printed."""
    faults: tuple[Fault, ...] = ()
    try:
        project = project_from_mapping(data)
    except BadInput as error:
        faults = error.faults
    else:
        assert project_from_mapping(project_to_mapping(project)) == project
        return
    assert faults
    assert all(str(fault).isprintable() for fault in faults)
