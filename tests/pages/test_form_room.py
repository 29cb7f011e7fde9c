"""What the form is made of: every field of the model in its place, texts in and out as they were typed."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.limits import Limits
from api.pages.form.layout import SECTIONS, RowsOf
from api.pages.form.reading import reading_of
from api.pages.form.shape import leaves, project_shape
from api.pages.form.typed import from_fields, from_mapping, to_fields, with_row, without_row
from api.pages.form.view import all_blocks, all_fields, rows_view, sections, words_of
from nesting.errors import BadInput
from nesting.project.model import Project
from nesting.project.read import project_from_mapping, project_from_text
from nesting.project.starter import starter_text
from nesting.project.text import parsed
from tests.malformed import MALFORMED

PLACES = [place for place, _ in leaves(project_shape())]
LIMITS = Limits()


def _laid_out(block, above=""):
    here = f"{above}{block.at}." if block.at else above
    if isinstance(block, RowsOf):
        yield from _laid_out(block.row, f"{here}*.")
        return
    yield from (here + key for key in (*block.main, *block.more))
    for inner in (*block.inner, *block.folded):
        yield from _laid_out(inner, here)


def test_every_field_of_the_model_has_one_place():
    laid = [place for section in SECTIONS for block in section.blocks for place in _laid_out(block)]
    assert sorted(laid) == sorted(PLACES)


def test_what_is_shown_of_a_field_comes_from_the_model():
    for name, leaf in project_shape()["saw"].inner.items():
        description = Project.model_fields["saw"].annotation.model_fields[name].description
        assert description.startswith(leaf.about)
        assert leaf.required == ("Required." in description)


@pytest.mark.parametrize("wall", [True, False])
def test_a_file_read_typed_and_read_again_is_the_same_project(wall):
    text = starter_text(wall=wall)
    typed, whole = from_mapping(parsed(text, "toml"))
    assert whole
    assert from_fields(to_fields(typed)) == typed
    reading = reading_of(typed, LIMITS)
    assert reading.project == project_from_text(text, "toml")
    assert project_from_mapping(parsed(reading.document, "json")) == reading.project


@pytest.mark.parametrize("row", [row for row in MALFORMED if row.json_text is not None], ids=lambda row: row.id)
def test_no_fault_of_a_malformed_project_goes_unseen(row):
    try:
        document = parsed(row.json_text, "json")
    except BadInput:
        return  # refused before there is anything to show
    typed, whole = from_mapping(document) if isinstance(document, dict) else ({}, False)
    if not whole:
        with pytest.raises(BadInput):
            project_from_mapping(document)  # the start page says what has no place
        return
    faults = reading_of(typed, LIMITS).faults
    assert sorted(_told(sections(typed, faults))) == sorted(words_of(fault) for fault in faults)


def _told(shown):
    """Every fault that the form shows, wherever it stands."""
    return [text for section in shown for block in all_blocks(section.blocks) for text in _of(block)]


def _of(block):
    fields = () if hasattr(block, "rows") else (*block.main, *block.more)
    return [*block.faults, *(text for field in fields for text in field.faults)]


NAMES = st.one_of(
    st.sampled_from(PLACES).map(lambda place: place.replace("*", "0")),
    st.sampled_from(PLACES).flatmap(lambda p: st.integers(0, 10**6).map(lambda n: p.replace("*", str(n)))),
    st.text(max_size=30),
    st.lists(st.sampled_from(["sheet", "0", "wall", "keepout", "-1", "x", "", "holder", "holes", "²"])).map(".".join),
)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(NAMES, st.text(max_size=20)), max_size=20))
def test_any_form_is_read_shown_and_kept_without_a_loss(fields):
    typed = from_fields(fields)
    assert from_fields(to_fields(typed)) == typed
    assert json.loads(json.dumps(typed)) == typed
    reading = reading_of(typed, LIMITS)
    assert reading.project is None
    shown = {field.name: field.value for field in all_fields(sections(typed, reading.faults))}
    for name, value in to_fields(typed):
        if value.strip():  # blank fields of a style that a holder does not have are not shown
            assert shown[name] == value


def test_rows_come_and_go():
    typed = from_fields([("sheet.0.name", "a"), ("sheet.7.name", "b"), ("wall.keepout.0.name", "outlet")])
    more = with_row(with_row(typed, "wall.keepout"), "holder")
    assert (len(more["wall"]["keepout"]), more["holder"]) == (2, [{}])
    less = without_row(without_row(more, "sheet.0"), "wall.keepout.0")
    assert [row["name"] for row in less["sheet"]] == ["b"]
    assert less["wall"]["keepout"] == [{}]
    for place in ("", "sheet", "sheet.x", "nothing.0", "saw.kerf", "wall.0", "sheet.0.name", "sheet.99999999"):
        assert without_row(typed, place) == typed
    for place in ("", "saw", "nothing", "sheet.0", "saw.kerf", "wall.keepout.0"):
        assert with_row(typed, place) == typed


def test_a_fault_names_the_row_where_it_was_typed():
    blank_first = from_fields([("sheet.0.name", ""), ("sheet.1.name", "ply"), ("sheet.1.width", "wide")])
    faults = reading_of(blank_first, LIMITS).faults
    places = {fault.where: fault for fault in faults}
    assert places["Sheet 2, width"].text.startswith("'wide' is not a length; accepted: a number in")
    assert places["Sheet 2, length"].absent
    assert not places["Sheet 2, width"].absent


def test_a_fault_in_a_list_of_lengths_stands_beside_its_field():
    typed = from_fields([("wall.width", "96"), ("wall.height", "24"), ("wall.studs.positions", "8, two, 3,5")])
    shown = {field.name: field for field in all_fields(sections(typed, reading_of(typed, LIMITS).faults))}
    first, second = shown["wall.studs.positions"].faults
    assert first.startswith("number 2 'two' is not a length")
    assert second.startswith("number 3 '3,5' has a comma")


def test_faults_on_whole_lists_stand_over_them():
    rows = rows_view({}, reading_of({}, LIMITS).faults, "sheet")
    assert rows.faults[0].startswith("there is no stock to cut from")
    assert rows_view({}, (), "wall.keepout").rows == ()
    assert rows_view({}, (), "saw") is None


def test_many_faults_at_once_all_stand_somewhere():
    typed = from_fields(
        [("holder.0.style", "rack"), ("holder.0.name", "r"), ("holder.0.width", "9"), ("holder.0.height", "9"),
         ("wall.width", "1"), ("wall.height", "1"), ("sheet.0.name", "s"), ("cleats.bevel", "99")]
    )  # fmt: skip
    faults = reading_of(typed, LIMITS).faults
    assert len(faults) >= 6
    assert len(_told(sections(typed, faults))) == len(faults)


def test_a_value_that_is_no_choice_is_kept_and_offered():
    typed = {"wall": {"start": "middle", "screws": {"gauge": "8"}}}
    shown = {field.name: field for field in all_fields(sections(typed, ()))}
    assert [choice.value for choice in shown["wall.start"].choices if choice.chosen] == ["middle"]
    assert [choice.value for choice in shown["wall.screws.gauge"].choices if choice.chosen] == ["8"]
    assert shown["wall.start"].choices[0].words == "top (default)"


def test_more_pieces_than_are_taken_on_are_told_at_their_list():
    typed = from_fields([*to_fields(from_mapping(parsed(starter_text(), "toml"))[0])])
    (fault,) = reading_of(typed, Limits(pieces=10)).faults
    assert fault.where == "Part"
    assert "pieces are asked for in all" in fault.message
