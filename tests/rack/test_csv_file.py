"""The rack as a table: out and in without loss, no cell a formula, every fault by its line and column."""

import csv
import io

import pytest
from hypothesis import given, settings

from nesting.errors import BadInput
from nesting.paper.tables import FORMULA
from nesting.rack.csv_file import rack_csv, rack_from_csv
from nesting.rack.piece import KEYS
from nesting.rack.rack import Numbers
from tests.rack.pieces import piece, racks


def read(text):
    return rack_from_csv(text, Numbers(0, ()))


@settings(max_examples=120, deadline=None)
@given(racks)
def test_what_goes_out_comes_in_again(rack):
    text = rack_csv(rack)
    assert read(text) == tuple(rack)
    assert rack_csv(read(text)) == text
    for row in csv.reader(io.StringIO(text, newline="")):
        assert not any(cell.startswith(FORMULA) for cell in row)


def test_a_table_from_a_spreadsheet_is_read():
    table = "\ufeffWidth;LENGTH;thickness;unit;grain;place\r\n233.5;800;18;mm;no;\r\n"
    (found,) = read(table)
    assert (found.label, float(found.width), found.grain, found.nominal) == ("R-1", 233.5, False, 18)
    quoted = 'length,width,thickness,note\n"8 ft",24.4 cm,23/32 in,"knots, ""two"""\n\n'
    (found,) = read(quoted)
    assert (found.length, found.note) == (96, 'knots, "two"')


def test_lines_without_a_label_get_labels_that_nobody_has():
    table = "label,length,width,thickness\n,31,9,1/2\nR-2,30,9,1/2\n,29,9,1/2\n"
    assert [one.label for one in rack_from_csv(table, Numbers(4, {"R-5"}))] == ["R-6", "R-2", "R-7"]


@pytest.mark.parametrize(
    ("table", "faults"),
    [
        ("", ["the table is empty"]),
        ("length,width\n1,2\n", ["line 1: the column thickness is missing"]),
        (
            "lable,length,length,width\n",
            [
                "line 1: 'lable' is not a known column; did you mean label?",
                "line 1: the column 'length' comes twice",
                "line 1: the column thickness is missing",
            ],
        ),
        (
            "label,length,width,thickness,grain,unit\nA,three,-2,1/0,maybe,ft\nB,1,2\n\nA B,1,2,3,yes,in\n",
            [
                "line 2, grain: 'maybe' is not a yes or no",
                "line 2, unit: 'ft' is none of the choices",
                "line 2, length: 'three' is not a length",
                "line 2, width: '-2' is negative",
                "line 2, thickness: '1/0' divides by zero",
                "line 3: has 3 cells",
                "line 5, label: 'A B' is not a label",
            ],
        ),
        (
            "label,length,width,thickness\nA,1,2,3\nB,1,2,\n",
            ["line 3, thickness: an empty text is not a length"],
        ),
        ("label,length,width,thickness\nA,1,2,3\nA,4,5,6\n", ["line 3, label: 'A' is the label of line 2 too"]),
        ('length,width,thickness\n1,"2,3\n', ["line 2: is not a line of a table"]),
    ],
)
def test_every_fault_is_told_with_its_place(table, faults):
    with pytest.raises(BadInput) as refused:
        read(table)
    said = [str(fault) for fault in refused.value.faults]
    assert len(said) == len(faults), said
    for one, begins in zip(said, faults, strict=True):
        assert one.startswith(begins), (one, begins)


def test_too_much_is_refused_and_faults_without_number_are_not_listed_for_ever():
    rows = "".join(f"x{n},1,2,0\n" for n in range(500))
    with pytest.raises(BadInput) as refused:
        read(f"label,length,width,thickness\n{rows}")
    assert len(refused.value.faults) == 201
    assert str(refused.value.faults[-1]) == "and 300 more faults"
    many = "".join(f"x{n},1,2,3\n" for n in range(1_001))
    with pytest.raises(BadInput, match="1,001 pieces are too many"):
        read(f"label,length,width,thickness\n{many}")
    with pytest.raises(BadInput, match="characters"):
        read("x" * 2_000_001)


def test_the_columns_are_those_of_a_piece():
    assert rack_csv([piece()]).splitlines()[0] == ",".join(KEYS)
