"""`done`, `spoiled`, `measured` and `replan` as a person meets them: a small job in a folder that `plan` wrote."""

import json
import os
import shutil
import threading
from pathlib import Path

import pytest

from cli.main import main
from nesting.paper import contents, earlier, folder
from nesting.plan import plan_from_json
from nesting.progress import file
from nesting.progress.file import change, read
from nesting.progress.marks import tick

JOB = """
[project]
name = "small"
[saw]
kerf = "1/8"
edge_trim = 0
breakdown_saw = false
[[sheet]]
name = "ply"
length = 48
width = 24
thickness = "1/2"
price = 40
[[part]]
name = "shelf"
length = 20
width = 10
thickness = "1/2"
quantity = 3
"""


@pytest.fixture(scope="module")
def written(tmp_path_factory) -> Path:
    """The folder as `plan` writes it, once for all tests."""
    place = tmp_path_factory.mktemp("small")
    (place / "small.toml").write_text(JOB, encoding="utf-8")
    assert main(["plan", str(place / "small.toml"), "--out", str(place / "plan"), "--seconds", "0.5"]) == 0
    return place / "plan"


@pytest.fixture
def place(written, tmp_path, monkeypatch) -> Path:
    """A folder of its own for one test; packets, slow to set, are left to the tests of packets."""
    monkeypatch.setattr(contents, "packet_pdf", lambda *_arguments, **_more: b"%PDF-1.7")
    shutil.copytree(written, tmp_path / "plan")
    return tmp_path / "plan"


def plan_in(place):
    return plan_from_json((place / "plan.json").read_text(encoding="utf-8"))


def shelves(place):
    plan, progress = read(place)
    made = [step.makes for step in plan.steps if step.n in progress.done]
    parts = {node.id for layout in plan.layouts for node in layout.tree.walk() if node.part}
    return [piece for pieces in made for piece in pieces if piece in parts]


def everything(place):
    return {path.relative_to(place): path.read_bytes() for path in place.rglob("*") if path.is_file()}


def test_ticking_and_taking_back(cleatwright, place):
    last = len(plan_in(place).steps)
    ran = cleatwright("done", str(place), "1", "2-3")
    assert (ran.status, ran.out) == (0, f"3 of {last} steps done; next is step 4.\n")
    ran = cleatwright("done", str(place), "3", "--undo")
    assert (ran.status, ran.out) == (0, f"2 of {last} steps done; next is step 3.\n")
    ran = cleatwright("done", str(place), f"1-{last}")
    assert (ran.status, ran.out) == (0, f"{last} of {last} steps done.\n")


def test_every_wrong_step_is_told(cleatwright, place):
    before = everything(place)
    ran = cleatwright("done", str(place), "x", "3-1", "1/2", "4")
    assert (ran.status, ran.out) == (2, "")
    assert len(ran.err.splitlines()) == 4
    ran = cleatwright("done", str(place), "0", "9999", "1")
    assert ran.status == 2
    assert ran.err.startswith("2 problems:")
    assert everything(place) == before


def test_a_spoiled_shelf_is_planned_anew(cleatwright, place):
    last = len(plan_in(place).steps)
    cleatwright("done", str(place), f"1-{last}")
    before = everything(place)
    piece = shelves(place)[0]
    ran = cleatwright("spoiled", str(place), piece, "--left", "12x10", "--left", "7 1/2 x 10", "--note", "knot")
    assert ran.status == 0
    assert f"Lost: 1 × shelf. Plan anew: cleatwright replan {place}" in ran.out
    ran = cleatwright("replan", str(place), "--seconds", "3")
    assert (ran.status, ran.err) == (0, f"The earlier plan is kept in {place / 'earlier/1'}.\n")
    assert ran.out.startswith("The spoiled shelf is cut from ")
    assert "; nothing to buy; no step was open" in ran.out
    ran = cleatwright("check", str(place))
    assert (ran.status, "nothing finished is lost, nothing invented" in ran.out) == (0, True)
    kept = everything(place / "earlier" / "1")
    names = {name for name in before if name.parts[0] != ".cleatwright"}
    assert set(kept) == names
    assert all(kept[name] == before[name] for name in names - {Path("progress.json")})
    assert json.loads(kept[Path("progress.json")])["spoiled"][0]["note"] == "knot"
    plan, progress = read(place)
    assert plan.replaces.number == 1
    assert progress.done == tuple(range(1, last + 1))
    ran = cleatwright("replan", str(place))
    assert (ran.status, ran.out) == (0, "Nothing is lost: the plan stands as it is.\n")
    assert not (place / "earlier" / "2").exists()
    ran = cleatwright("done", str(place), "1", "--undo")
    assert (ran.status, "was done before the plan was made anew" in ran.err) == (2, True)


def test_measures(cleatwright, place):
    cleatwright("done", str(place), f"1-{len(plan_in(place).steps)}")
    piece = shelves(place)[0]
    assert "Lost" not in cleatwright("measured", str(place), piece, "20 x 10").out
    assert "Lost: 1 × shelf" in cleatwright("measured", str(place), piece, "19 15/16×10").out
    assert "Lost" not in cleatwright("spoiled", str(place), piece, "--undo").out
    ran = cleatwright("measured", str(place), piece, "three")
    assert (ran.status, ran.err.count("is no size")) == (2, 1)
    ran = cleatwright("spoiled", str(place), piece, "--left", "0x4", "--left", "9")
    assert (ran.status, len(ran.err.splitlines())) == (2, 3)
    ran = cleatwright("spoiled", str(place), piece, "--note", "x" * 501)
    assert (ran.status, "at most 500" in ran.err) == (2, True)


def test_json_prints_the_new_plan(cleatwright, place):
    cleatwright("done", str(place), f"1-{len(plan_in(place).steps)}")
    cleatwright("spoiled", str(place), shelves(place)[0])
    ran = cleatwright("replan", str(place), "--json", "--seconds", "3")
    assert plan_from_json(ran.out) == plan_in(place)


def test_check_looks_at_the_plan_before(cleatwright, place):
    cleatwright("done", str(place), f"1-{len(plan_in(place).steps)}")
    cleatwright("spoiled", str(place), shelves(place)[0])
    cleatwright("replan", str(place), "--seconds", "3")
    record = place / "earlier" / "1" / "progress.json"
    other = json.loads(record.read_text())
    other["spoiled"] = []
    record.write_text(json.dumps(other))
    ran = cleatwright("check", str(place))
    assert (ran.status, "the pieces said to be lost are not those of the record" in ran.out) == (1, True)
    (place / "earlier" / "1" / "plan.json").write_text("{")
    assert cleatwright("check", str(place)).status == 0


@pytest.mark.parametrize("command", [("done", "1"), ("spoiled", "A1"), ("measured", "A1", "3x3"), ("replan",)])
def test_what_is_no_folder_of_a_plan(cleatwright, tmp_path, command):
    word, *more = command
    (tmp_path / "file").write_text("x")
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "plan.json").write_text("{}")
    (tmp_path / "bare" / ".cleatwright").mkdir(parents=True)
    for name, words in (
        ("nowhere", "is not there"),
        ("file", "is not a folder"),
        ("other", "was not written by a plan"),
        ("bare", "holds no plan.json"),
        ("a\0b", "null byte"),
    ):
        ran = cleatwright(word, str(tmp_path / name), *more)
        assert (ran.status, ran.out) == (2, "")
        assert words in ran.err


def test_malformed_files_tell_every_fault_at_once(cleatwright, place):
    (place / "progress.json").write_text('{"done": ["1"], "left": 3}')
    document = json.loads((place / "plan.json").read_text())
    document["cost"] = "much"
    (place / "plan.json").write_text(json.dumps(document))
    before = everything(place)
    ran = cleatwright("replan", str(place))
    assert ran.status == 2
    assert ran.err.startswith("4 problems:\n  plan.json, cost:")
    assert ran.err.count("progress.json") == 3
    assert everything(place) == before


def test_the_record_of_another_plan_is_refused(cleatwright, place):
    cleatwright("done", str(place), "1")
    text = (place / "progress.json").read_text()
    record = json.loads(text)
    (place / "progress.json").write_text(text.replace(record["plan"], "0" * 32))
    ran = cleatwright("done", str(place), "2")
    assert (ran.status, "belongs to another plan" in ran.err) == (2, True)


def test_a_plan_that_was_tampered_with_is_refused(cleatwright, place):
    document = json.loads((place / "plan.json").read_text())
    document["cost"] = 1.0
    (place / "plan.json").write_text(json.dumps(document))
    before = everything(place)
    ran = cleatwright("replan", str(place))
    assert (ran.status, "is not sound" in ran.err) == (2, True)
    assert everything(place) == before


def test_somebody_elses_earlier_is_not_touched(cleatwright, place):
    cleatwright("done", str(place), f"1-{len(plan_in(place).steps)}")
    cleatwright("spoiled", str(place), shelves(place)[0])
    (place / "earlier").write_text("mine")
    before = everything(place)
    ran = cleatwright("replan", str(place), "--seconds", "3")
    assert (ran.status, "where earlier plans are kept" in ran.err) == (2, True)
    assert everything(place) == before
    (place / "earlier").unlink()
    (place / "earlier" / "1").mkdir(parents=True)
    (place / "earlier" / "1" / "mine").write_text("mine")
    assert cleatwright("replan", str(place), "--seconds", "3").status == 0
    assert (place / "earlier" / "1" / "mine").read_text() == "mine"
    assert (place / "earlier" / "2" / "plan.json").exists()


class Power(Exception):
    """The power fails."""


@pytest.mark.parametrize("where", ["copy", "exchange", "record"])
def test_an_interruption_leaves_a_whole_plan(cleatwright, place, monkeypatch, where):
    """Whatever stops it, DIR holds the one plan or the other with its record; the next run goes on from there."""
    last = len(plan_in(place).steps)
    cleatwright("done", str(place), f"1-{last}")
    cleatwright("spoiled", str(place), shelves(place)[0])
    old = plan_in(place)

    def fails(*_arguments, **_more):
        raise Power

    with monkeypatch.context() as patch:
        if where == "copy":
            patch.setattr(earlier, "sync_folder", fails)
        elif where == "exchange":
            patch.setattr(folder._Swap, "carry_out", fails)
        else:
            patch.setattr(file, "write", fails)
        assert cleatwright("replan", str(place), "--seconds", "3").status == 3
    plan, progress = read(place)
    if where == "record":
        assert plan.replaces.number == 1
        assert progress.done == tuple(range(1, last + 1))
    else:
        assert plan == old
        assert progress.spoiled
    assert cleatwright("replan", str(place), "--seconds", "3").status == 0
    assert read(place)[0].replaces.number == 1
    assert sorted(os.listdir(place / "earlier")) == ["1"]


def test_two_who_tick_at_once_lose_no_tick(place):
    """Each thread reads, ticks and writes under the folder's lock."""
    last = len(plan_in(place).steps)
    change(place, lambda plan, record: tick(plan, record, [1]))
    lock = threading.Barrier(2)

    def ticks(numbers):
        lock.wait()
        for n in numbers:
            change(place, lambda plan, record, n=n: tick(plan, record, range(1, n + 1)))

    both = [threading.Thread(target=ticks, args=(range(start, last + 1, 2),)) for start in (2, 3)]
    for thread in both:
        thread.start()
    for thread in both:
        thread.join()
    assert read(place)[1].done == tuple(range(1, last + 1))
    assert file.MARK == folder.MARK
