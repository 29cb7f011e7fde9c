"""``plan``: what it prints and writes, and how it ends, with a stand-in for the planning."""

import json
import os
from pathlib import Path

import pytest
from pypdf import PdfReader

from nesting.plan import plan_from_json, plan_to_json
from tests.cli.fake_make import Made
from tests.paper.sample_plan import sample_plan


def _files(folder: str) -> set[str]:
    top = Path(folder)
    return {
        path.relative_to(top).as_posix()
        for path in top.rglob("*")
        if path.is_file() and ".cleatwright" not in path.parts
    }


def test_prints_the_plan_in_words_and_writes_the_folder(cleatwright, project):
    ran = cleatwright("plan", project, "--out", "out", making="proven")
    assert (ran.status, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "repair bay: 12.50 EUR"
    for words in (
        "  1 ×  half sheet  at 12.50  12.50 EUR",
        "  A1  half sheet  30 × 10 1/8 in  2 parts  99 % used",
        "  1 step with 1 setting (the fewest there can be): fence 1, stop 0, guide 0; 0 changes of tilt.",
        "  Cheapest: no choice of stocks below 12.50 EUR can do this job.",
        "  Easier cutting would cost no more.",
        "Written into out: plan.json, packet.pdf, steps.csv, buy.csv, labels.csv, layouts.dxf, 1 drawing in layouts.",
    ):
        assert words in lines
    for caution in ("Guard and riving knife", "Push stick", "Eyes, ears, dust", "Unplug", "manual and local rules"):
        assert caution in ran.out
    assert "Warnings" not in ran.out
    assert _files("out") == {
        "plan.json", "packet.pdf", "steps.csv", "buy.csv", "labels.csv", "layouts.dxf", "layouts/A1.svg",
    }  # fmt: skip
    assert plan_from_json(Path("out/plan.json").read_text(encoding="utf-8")) == sample_plan()


@pytest.mark.parametrize(("options", "width"), [((), 612), (("--paper", "A4"), 595), (("--paper", "letter"), 612)])
def test_packet_is_set_on_the_paper_asked_for(cleatwright, project, options, width):
    assert cleatwright("plan", project, "--out", "out", *options, making="proven").status == 0
    assert int(PdfReader("out/packet.pdf").pages[0].mediabox.width) == width


def test_other_paper_is_refused(cleatwright, project):
    ran = cleatwright("plan", project, "--out", "out", "--paper", "legal", making="proven")
    assert ran.status == 2
    assert "'legal' is no paper; letter or a4" in ran.err


def test_a_date_that_is_none_is_refused_before_the_work(cleatwright, project, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "soon")
    ran = cleatwright("plan", project, "--out", "out", making="proven")
    assert ran.status == 2
    assert "SOURCE_DATE_EPOCH: is no date" in ran.err
    assert not Path("out").exists()


def test_without_the_library_it_is_told_how_to_get_the_dxf_file(cleatwright, project, monkeypatch):
    monkeypatch.setattr("nesting.paper.contents.available", lambda: False)
    ran = cleatwright("plan", project, "--out", "out", making="proven")
    assert ran.out.splitlines()[-1].endswith('pip install "cleatwright[dxf]"')
    assert "layouts.dxf" not in _files("out")


def test_an_open_plan_says_bound_and_gap(cleatwright, project):
    ran = cleatwright("plan", project, "--out", "out", making="open")
    assert ran.status == 0
    assert "Not proven cheapest: no plan costs less than 10.00 EUR" in ran.out
    assert "this one is at most 10.00 EUR (50.0 %) above the least." in ran.out
    progress = ran.err.splitlines()
    assert progress[0] == "  0.1 s  bounds: no whole plan yet, bound 5.00 USD"
    assert progress[-1] == "  0.3 s  improving: cost 20.00 USD, bound 10.00 USD, gap 50.0 %"
    assert "\x1b" not in ran.out + ran.err


def test_warnings_are_told_with_their_place(cleatwright, project):
    warnings = [{"code": "x", "text": "[red]Mind the blade.[/red]\x1b[31m", "where": "מדף"}]
    ran = cleatwright("plan", project, "--out", "out", making=lambda *_, **__: Made(sample_plan(warnings=warnings), ()))
    assert "  [red]Mind the blade.[/red]\\x1b[31m (\u2068מדף\u2069)" in ran.out.splitlines()


def test_several_stocks_end_in_a_sum_and_the_rack_is_free(cleatwright, project):
    buy = [
        {"stock": "half sheet", "count": 1, "unit_price": 12.5, "cost": 12.5},
        {"stock": "leftover", "count": 2, "unit_price": 0, "cost": 0},
    ]
    ran = cleatwright("plan", project, "--out", "out", making=lambda *_, **__: Made(sample_plan(buy=buy), ()))
    assert "leftover    owned already" in ran.out
    assert "  in all" in ran.out
    nothing = cleatwright("plan", project, "--out", "o2", making=lambda *_, **__: Made(sample_plan(buy=[]), ()))
    assert "  Nothing." in nothing.out.splitlines()


def test_json_is_the_plan_alone(cleatwright, project):
    ran = cleatwright("plan", project, "--json", making="open")
    assert ran.status == 0
    expected = sample_plan(cost=20.0, cost_bound=10.0, proven=False)
    assert ran.out == plan_to_json(expected)
    assert json.loads(ran.out)["proven"] is False
    assert "cost 20.00" in ran.err
    assert {path.name for path in Path().iterdir()} == {project}


def test_json_writes_the_folder_too_where_one_is_given(cleatwright, project):
    ran = cleatwright("plan", project, "--json", "--out", "out", making="proven")
    assert ran.out.encode() == Path("out/plan.json").read_bytes()


def test_options_reach_the_planning(cleatwright, project):
    seen = {}

    def planning(asked, **options):
        seen.update(options, name=asked.project.name)
        return Made(sample_plan(), ())

    cleatwright("plan", project, "--out", "out", "--seconds", "2.5", "--seed", "7", "--group", "2", making=planning)
    assert (seen["seconds"], seen["seed"], seen["group"], seen["name"]) == (2.5, 7, 2, "Bike co-op repair bay")
    cleatwright("plan", project, "--out", "out", making=planning)
    assert (seen["seconds"], seen["seed"], seen["group"]) == (10.0, 0, None)


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "inf", "1e999", "ten", "", "86401", "1,5"])
def test_seconds_that_are_none(cleatwright, project, seconds):
    ran = cleatwright("plan", project, "--out", "out", "--seconds", seconds, making="proven")
    assert (ran.status, ran.out) == (2, "")
    assert "more than 0 and at most 86,400" in ran.err
    assert not Path("out").exists()


@pytest.mark.parametrize("seed", ["-1", "1.5", "nan", "", "2147483648", "9" * 5000, "٣", "0x1"])
def test_seeds_that_are_none(cleatwright, project, seed):
    ran = cleatwright("plan", project, "--out", "out", "--seed", seed, making="proven")
    assert (ran.status, ran.out) == (2, "")
    assert "a whole number from 0 to 2,147,483,647" in ran.err


@pytest.mark.parametrize("group", ["0", "-1", "1.5", "nan", "", "10001", "9" * 5000, "٣", "all", "\x1b[31m"])
def test_groups_that_are_none(cleatwright, project, group):
    ran = cleatwright("plan", project, "--out", "out", "--group", group, making="proven")
    assert (ran.status, ran.out) == (2, "")
    assert "a whole number from 1 to 10,000" in ran.err
    assert "\x1b" not in ran.err
    assert not Path("out").exists()


def test_settings_are_told_with_their_rules_and_what_sheet_by_sheet_would_need(cleatwright, project):
    work = {
        "rules": ["Square work first."],
        "group": None,
        "sheet_by_sheet": 4,
        "among": 12,
        "recurring": [f"the {n} in stop is set again." for n in range(1, 6)],
        "drift": [],
    }
    plan = sample_plan(work=work)
    ran = cleatwright("plan", project, "--out", "out", making=lambda *_, **__: Made(plan, ()))
    said = ran.out[ran.out.index("Settings\n") :].split("\n\n")[0].splitlines()
    assert said[2:] == [
        "  Sheet by sheet it would be 4 settings: 75 % fewer this way.",
        "  The layouts were chosen for it among 12 sets of equal cost.",
        "  Rules in force:",
        "    Square work first.",
        "  5 settings made again:",
        "    the 1 in stop is set again.",
        "    the 2 in stop is set again.",
        "    the 3 in stop is set again.",
        "    and 2 more, all in plan.json under work.",
    ]
    assert plan_from_json(Path("out/plan.json").read_text(encoding="utf-8")) == plan


def test_no_saving_is_no_saving(cleatwright, project):
    for count, said in ((1, "Sheet by sheet it would be 1 setting."), (None, "Rules in force:")):
        work = {"rules": [], "sheet_by_sheet": count, "recurring": [], "drift": []}
        ran = cleatwright(
            "plan", project, "--out", "out", making=lambda *_, w=work, **__: Made(sample_plan(work=w), ())
        )
        assert said in ran.out
        assert "made again" not in ran.out


def test_a_folder_must_be_named(cleatwright, project):
    ran = cleatwright("plan", project, making="proven")
    assert ran.status == 2
    assert "--out DIR" in ran.err


def test_impossible_jobs_name_every_reason(cleatwright, project):
    ran = cleatwright("plan", project, "--out", "out", making="impossible")
    assert (ran.status, ran.out) == (1, "")
    assert ran.err.splitlines() == [
        "2 reasons why the job cannot be done:",
        "  part 'a' fits no stock",
        "  part 'b' fits no stock",
    ]
    assert not Path("out").exists()


@pytest.mark.parametrize("making", ["bug", "surprise"])
def test_bugs_are_told_in_one_line(cleatwright, project, monkeypatch, making):
    monkeypatch.delenv("CLEATWRIGHT_DEBUG", raising=False)
    ran = cleatwright("plan", project, "--out", "out", making=making)
    assert (ran.status, ran.out) == (3, "")
    (line,) = ran.err.splitlines()
    assert line.startswith("This is a bug in cleatwright")
    assert "CLEATWRIGHT_DEBUG=1" in line
    assert "\x1b" not in line
    monkeypatch.setenv("CLEATWRIGHT_DEBUG", "1")
    assert "Traceback" in cleatwright("plan", project, "--out", "out", making=making).err


def test_too_little_memory_is_no_bug(cleatwright, project):
    ran = cleatwright("plan", project, "--out", "out", making="memory")
    assert (ran.status, ran.err) == (1, "There is not enough memory for this job.\n")


@pytest.mark.parametrize("path", ["nowhere.toml", ".", "a\0b", "", "x" * 5000])
def test_project_that_cannot_be_read(cleatwright, project, path):
    ran = cleatwright("plan", path, "--out", "out", making="proven")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("1 problem:")
    assert not Path("out").exists()


@pytest.mark.parametrize("out", ["demo.toml", "demo.toml/deeper", "/dev/full", "a\0b"])
def test_folder_that_cannot_be_is_told_before_the_work(cleatwright, project, out):
    def never(*_arguments, **_options):
        raise AssertionError("planned for nothing")

    ran = cleatwright("plan", project, "--out", out, making=never)
    assert (ran.status, ran.out) == (2, "")


def test_full_disk_is_told_and_leaves_nothing(cleatwright, project, monkeypatch):
    def full(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    ran = cleatwright("plan", project, "--out", "out", making="proven")
    assert (ran.status, ran.out, ran.err) == (1, "", "out: No space left on device\n")
    assert {path.name for path in Path().iterdir()} == {project}


def test_edited_files_are_kept_and_told(cleatwright, project):
    cleatwright("plan", project, "--out", "out", making="proven")
    Path("out/steps.csv").write_bytes(b"notes")
    ran = cleatwright("plan", project, "--out", "out", making="proven")
    assert ran.status == 0
    assert "steps.csv had been edited since it was written; your version is kept as steps.edited.csv." in ran.err
    assert Path("out/steps.edited.csv").read_bytes() == b"notes"
