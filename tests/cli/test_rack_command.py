"""The rack on the command line: changed, taken back, brought in and out; jobs draw on it and give back to it."""

import json

import pypdfium2
import pytest
import zxingcpp

JOB = """
[project]
name = "Jig drawer"
[saw]
kerf = "1/8"
[[sheet]]
name = "ply"
length = 96
width = 48
thickness = "1/2"
price = 40
[[part]]
name = "bottom"
length = 20
width = 8
thickness = "1/2"
quantity = 2
"""


@pytest.fixture
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "job.toml").write_text(JOB)
    return tmp_path


def labels(here):
    return [piece["label"] for piece in json.loads((here / "rack.json").read_text())["pieces"]]


def test_a_piece_comes_is_changed_and_goes_and_all_of_it_is_taken_back(cleatwright, here):
    ran = cleatwright("rack", "add", "31 x 9 1/4 x 23/32", "--place", "left", "--nominal", "3/4", "--no-grain")
    assert (ran.status, ran.out, ran.err) == (0, "Rack: added R-1, 31 × 9 1/4 × 23/32 in, left.\n", "")
    assert cleatwright("rack", "add", "800x300x18", "--unit", "mm", "--label", "B-7").status == 0
    listed = cleatwright("rack", "list").out
    assert "R-1    31 × 9 1/4 × 23/32 in       none   left" in listed
    assert "B-7    800 × 300 × 18 mm" in listed
    assert [one["nominal"] for one in json.loads(cleatwright("rack", "list", "--json").out)] == ["18", "3/4"]
    ran = cleatwright("rack", "change", "B-7", "--size", "790x300x17.5", "--note", "warped")
    assert ran.out == "Rack: now B-7, 790 × 300 × 17.5 mm.\n"
    assert json.loads((here / "rack.json").read_text())["pieces"][0]["nominal"] == "17.5"
    assert cleatwright("rack", "take", "R-1", "B-7").out == "Rack: took R-1, B-7.\n"
    assert cleatwright("rack", "list").out == "The rack is empty.\n"
    assert cleatwright("rack", "undo").out.startswith("Taken back: took R-1, B-7.\nRack: added R-1")
    for _ in range(3):
        assert cleatwright("rack", "undo").status == 0
    ran = cleatwright("rack", "undo")
    assert (ran.status, ran.err) == (2, "1 problem:\n  there is nothing to take back\n")


def test_a_table_goes_out_and_comes_in_and_no_file_is_written_over(cleatwright, here):
    cleatwright("rack", "add", "31x9x1/2", "--note", "=1+1")
    ran = cleatwright("rack", "export")
    assert ran.out.splitlines()[1] == "R-1,in,31,9,1/2,1/2,yes,,,,'=1+1"
    assert cleatwright("rack", "export", "rack.csv").status == 0
    before = (here / "rack.json").read_text()
    assert cleatwright("rack", "export", "rack.csv").status == 2
    assert cleatwright("rack", "import", "rack.csv").err == (
        "1 problem:\n  R-1: is in the rack already; accepted: a label of its own\n"
    )
    assert (here / "rack.json").read_text() == before
    assert cleatwright("rack", "import", "rack.csv", "--replace").out == "Rack: now R-1, 31 × 9 × 1/2 in.\n"
    assert cleatwright("rack", "import", "rack.csv", "--rack", "other.json").status == 0
    (here / "bad.csv").write_text("length,width,thickness\nx,9,1/2\n31,9\n")
    ran = cleatwright("rack", "import", "bad.csv")
    assert ran.status == 2
    assert ran.err.startswith("2 problems:\n  line 2, length: 'x' is not a length")
    (here / "latin.csv").write_bytes(b"length,width,thickness,note\n31,9,1/2,\xe9\n")
    assert "is not UTF-8 text" in cleatwright("rack", "import", "latin.csv").err
    for name in ("none.csv", ".", "a\0b"):
        assert cleatwright("rack", "import", name).status == 2


def test_labels_are_drawn_and_their_codes_lead_to_the_service(cleatwright, here):
    assert cleatwright("rack", "label").status == 2  # there is nothing
    for _ in range(2):
        cleatwright("rack", "add", "31x9x1/2")
    ran = cleatwright("rack", "label", "--address", "http://bench.example:8000")
    assert ran.out == "2 labels in labels.pdf.\n"
    printed = pypdfium2.PdfDocument(here / "labels.pdf")
    codes = [zxingcpp.read_barcodes(page.render(scale=4).to_pil())[0].text for page in printed]
    assert codes == ["http://bench.example:8000/rack/R-1", "http://bench.example:8000/rack/R-2"]
    assert cleatwright("rack", "label").status == 2  # never over a file
    assert cleatwright("rack", "label", "R-2", "--out", "one.svg").out == "1 label in one.svg.\n"
    for wrong in (["--out", "two.svg"], ["--out", "x.png", "--address", "bench"], ["R-9"], ["--out", "no/x.pdf"]):
        ran = cleatwright("rack", "label", *wrong)
        assert (ran.status, ran.out) == (2, ""), wrong
        assert "Traceback" not in ran.err


def test_what_is_worth_keeping_can_be_set(cleatwright, here):
    assert cleatwright("rack", "smallest").out == "Worth keeping is what has 12 × 3 in or more.\n"
    assert cleatwright("rack", "smallest", "200x40", "--unit", "mm").status == 0
    assert cleatwright("rack", "smallest").out == "Worth keeping is what has 200 × 40 mm or more.\n"
    for wrong in ("200", "axb", "0x3"):
        assert cleatwright("rack", "smallest", wrong).status == 2


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["add", "31x9"], "'31x9' is no size"),
        (["add", "31x0x1/2", "--unit", "ft", "--label", "a b"], "3 problems:"),
        (["take", "R-1"], "'R-1': is not in the rack"),
        (["change", "R-1", "--note", "x"], "'R-1': is not in the rack"),
        (["list", "--rack", "job.toml"], "not JSON"),
        (["add", "31x9x1/2", "--rack", "no/rack.json"], "its folder is not there"),
        (["settle", "."], "was not written by a plan"),
        (["import"], "TABLE"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(cleatwright, here, arguments, words):
    ran = cleatwright("rack", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err
    assert not (here / "rack.json").exists()
    assert (here / "job.toml").read_text() == JOB


def test_a_job_draws_on_the_rack_and_ticking_it_off_takes_and_gives(cleatwright, here):
    assert cleatwright("plan", "job.toml", "--out", "a", "--rack", "rack.json").status == 2
    cleatwright("rack", "add", "55x8x1/2", "--label", "long")
    ran = cleatwright("plan", "job.toml", "--out", "a", "--rack", "rack.json", "--seconds", "5")
    assert ran.status == 0, ran.err
    assert "rack long" in ran.out
    steps = len(json.loads((here / "a" / "plan.json").read_text())["steps"])
    early = cleatwright("rack", "settle", "a")
    assert f"is not ticked off: {steps} open steps" in early.err
    cleatwright("done", "a", "1", "--rack", "rack.json")
    assert labels(here) == ["long"]
    last = cleatwright("done", "a", f"1-{steps}", "--rack", "rack.json")
    assert last.out.startswith("Rack: took long.\nRack: added R-1, 14 3/4 × 8 × 1/2 in.\n")
    assert labels(here) == ["R-1"]
    assert cleatwright("rack", "settle", "a").out == "The rack has it already.\n"
    assert cleatwright("done", "a", str(steps), "--undo", "--rack", "rack.json").out.startswith("Rack: took R-1.")
    assert labels(here) == ["long"]
    cleatwright("done", "a", str(steps))
    assert cleatwright("rack", "settle", "a").out.startswith("Rack: took long.")
    label = labels(here)[0]
    cleatwright("rack", "take", label)
    kept = (here / "a" / "progress.json").read_text()
    refused = cleatwright("done", "a", str(steps), "--undo", "--rack", "rack.json")
    assert (refused.status, refused.err) == (2, f"1 problem:\n  {label}: is not in the rack any more\n")
    assert (here / "a" / "progress.json").read_text() == kept


def test_a_broken_rack_stops_a_tick_before_it_is_written(cleatwright, here):
    assert cleatwright("plan", "job.toml", "--out", "a", "--seconds", "5").status == 0
    (here / "rack.json").write_text("{")
    assert cleatwright("done", "a", "1", "--rack", "rack.json").status == 2
    assert not (here / "a" / "progress.json").exists()
    assert (here / "rack.json").read_text() == "{"
