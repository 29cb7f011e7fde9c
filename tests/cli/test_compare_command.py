"""``compare``: what it prints and writes, and how it ends."""

import json
from pathlib import Path

import pytest

from tests.compare.small import small_mapping


@pytest.fixture
def corner(tmp_path, monkeypatch) -> str:
    """A small job as a JSON project file in an empty working folder."""
    monkeypatch.chdir(tmp_path)
    Path("corner.json").write_text(json.dumps(small_mapping()), encoding="utf-8")
    return "corner.json"


def test_prints_a_table_and_writes_the_folder(cleatwright, corner):
    ran = cleatwright("compare", corner, "--cleat-height", "3", "--cleat-height", "3 1/2", "--out", "out")
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert lines[0] == "Bench corner: 2 alternatives"
    assert ["cleats", "per", "sheet", "4", "3"] in [line.split() for line in lines]
    assert "  3 in: 4 (2 pairs, 0 lone); 4 with a thin-kerf blade." in lines
    assert (
        "  Rule of thumb, without kerf, bevel or trim: 12 / 3 = 4, 12 / 3 1/2 = 3 (common practice, no source)."
        in lines
    )
    assert "Caution" in lines
    assert lines[-1] == "Written into out: compare.json, compare.csv, compare.svg, yield.csv, yield.svg."
    assert "3 of 3" in ran.err
    again = cleatwright("plan", corner, "--out", "out", making="proven")
    assert again.status == 2
    assert "out: holds a comparison, which would be lost; accepted: another folder" in again.err


def test_json_alone_and_more_alternatives_than_stand_side_by_side(cleatwright, corner):
    heights = [text for n in range(6) for text in ("--cleat-height", f"3 {n + 1}/32")]
    ran = cleatwright("compare", corner, *heights, "--json", "--seconds", "2")
    assert ran.status == 0
    data = json.loads(ran.out)
    assert [row["cleat_height"] for row in data["alternatives"]] == [3 + (n + 1) / 32 for n in range(6)]
    assert {path.name for path in Path().iterdir()} == {corner}


def test_nothing_can_be_done(cleatwright, corner):
    Path(corner).write_text(json.dumps(small_mapping() | {"cleat": [{"name": "rail", "length": "60"}]}))
    ran = cleatwright("compare", corner, "--kerf", "1/8", "--kerf", "3/32")
    assert ran.status == 1
    assert "Cannot be done" in ran.out
    assert "kerf 3/32 in: cleat 'rail', 60 × 3, fits no stock" in ran.out


def test_every_fault_of_file_and_options_at_once(cleatwright, corner):
    ran = cleatwright("compare", corner, "--cleat-height", "three", "--gap", "3", "--sheet", "x", "--seconds", "0",
                      "--seed", "-1", "--out", corner)  # fmt: skip
    assert (ran.status, ran.out) == (2, "")
    places = [line.split(":")[0].strip() for line in ran.err.splitlines()[1:]]
    assert places == ["--cleat-height", "--sheet", "--gap", "--seconds", "--seed", corner]
    Path(corner).write_text(json.dumps(small_mapping() | {"saw": {}}))
    ran = cleatwright("compare", corner, "--kerf", "wide", "--seed", "x")
    places = [line.split(":")[0].strip() for line in ran.err.splitlines()[1:]]
    assert (ran.status, places) == (2, ["saw.kerf", "--kerf", "--seed"])
    assert cleatwright("compare", "nowhere.toml").status == 2


def test_what_a_budget_does(cleatwright, corner):
    ran = cleatwright("compare", corner, "--budget", "12", "--seconds", "1", "--out", "out")
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert "Within 12.00 USD: rows first, then running length, then the rest in the order of the file" in lines
    # by hand: a plank of 6 in gives the pair of cleats, and no shelf of 5 in beside their 5 15/32
    assert (
        "  as in the file: 2 of 2 wall cleats, 6.7 of 6.7 ft of rail, 0 of 1 other piece, for 12.00 USD "
        "(no plan does more)."
    ) in lines
    assert any(line.startswith("  Two plank cost 4.00 USD more than one strip") for line in lines)
    assert lines[-1] == "The plan in it is the one within the limit."
    assert json.loads(Path("out/plan.json").read_text())["cost"] == 12
    assert json.loads(Path("out/compare.json").read_text())["within"][0]["rows"] == 2
    both = cleatwright("compare", corner, "--budget", "lots", "--sheets", "-1")
    assert both.status == 2
    assert "--budget: 'lots' is not an amount" in both.err
    assert "--sheets: '-1' is not a count" in both.err
    assert "one of the two" in cleatwright("compare", corner, "--budget", "9", "--sheets", "1").err


def test_carrying_it_home(cleatwright, corner):
    head = {"name": "Bench corner", "carry_length": "30", "carry_width": "13"}
    shelf = {"name": "shelf", "length": "20", "width": "5", "thickness": "3/4"}
    strip = small_mapping()["sheet"][:1]
    mapping = small_mapping() | {"project": head, "part": [shelf], "cleat": [], "sheet": strip}
    Path(corner).write_text(json.dumps(mapping))
    ran = cleatwright("compare", corner, "--seconds", "1", "--out", "out")
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert "  strip, 48 × 12 in, does not fit the vehicle." in lines
    assert any(line.startswith("  Have each strip crosscut in the shop: ") for line in lines)
    assert any(line.startswith("  The job costs 20.00 USD then (proven least; ") for line in lines)
    assert lines[-1] == "The plan in it is the one with sheets cut in the shop."
    assert json.loads(Path("out/compare.json").read_text())["carry"]["cost"] == 20
    Path(corner).write_text(json.dumps(mapping | {"project": head | {"carry_length": "4", "carry_width": "4"}}))
    assert "No way of cutting it in the shop was found" in cleatwright("compare", corner, "--seconds", "1").out
