"""``check``: sound plans, plans that break a rule, and files that are no plans; with the real checker."""

import json
from pathlib import Path

import pytest

from tests.paper.sample_plan import sample_plan


@pytest.fixture
def real_plan(cleatwright, project) -> Path:
    """A plan made the whole way, of a job so small that it is done at once."""
    Path("small.toml").write_text(
        """
        [project]
        name = "shelf"
        [saw]
        kerf = "1/8"
        edge_trim = 0
        [[offcut]]
        name = "leftover"
        length = "30"
        width = "10 1/8"
        thickness = "23/32"
        [[part]]
        name = "shelf"
        length = "30"
        width = "5"
        thickness = "23/32"
        quantity = 2
        """,
        encoding="utf-8",
    )
    ran = cleatwright("plan", "small.toml", "--out", "out", "--seconds", "5")
    assert ran.status == 0, ran.err
    return Path("out/plan.json")


def test_two_parts_and_a_kerf_fill_an_offcut(real_plan):
    plan = json.loads(real_plan.read_text(encoding="utf-8"))
    assert (plan["cost"], plan["cost_bound"], plan["proven"]) == (0, 0, True)
    assert [line["stock"] for line in plan["buy"]] == ["leftover"]


@pytest.mark.parametrize("path", ["out/plan.json", "out"])
def test_sound_plans(cleatwright, real_plan, path):
    ran = cleatwright("check", path)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(f"{path} is sound: 1 layout, 2 parts and ")


def test_plans_that_break_rules(cleatwright, real_plan):
    plan = json.loads(real_plan.read_text(encoding="utf-8"))
    plan["cost"] = 5
    plan["layouts"][0]["tree"]["pieces"][0]["width"] = 6
    real_plan.write_text(json.dumps(plan), encoding="utf-8")
    ran = cleatwright("check", str(real_plan))
    assert (ran.status, ran.err) == (1, "")
    head, *faults = ran.out.splitlines()
    assert head == f"out/plan.json breaks the rules in {len(faults)} places:"
    assert len(faults) >= 2


def test_plan_without_its_project_says_what_was_not_checked(cleatwright, tmp_path):
    from nesting.plan import plan_to_json

    path = tmp_path / "plan.json"
    path.write_text(plan_to_json(sample_plan(job=None)), encoding="utf-8")
    ran = cleatwright("check", str(path))
    assert (ran.status, ran.err) == (0, "")
    head, *notes = ran.out.splitlines()
    assert "is sound" in head
    assert notes
    assert all(note.startswith("Note: ") for note in notes)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "not JSON"),
        (b"\xff\xfe", "UTF-8"),
        (b"[]", "not a JSON object"),
        (b'{"schema": "cleatwright/plan/2"}', "cleatwright/plan/1"),
        (b"[" * 100_000, "not JSON"),
        (b'{"project": "\\u001b[31m[red]"}', "is missing"),
    ],
)
def test_files_that_are_no_plans(cleatwright, tmp_path, content, words):
    path = tmp_path / "plan.json"
    path.write_bytes(content)
    ran = cleatwright("check", str(path))
    assert (ran.status, ran.out) == (2, "")
    assert words in ran.err
    assert "\x1b" not in ran.err


@pytest.mark.parametrize("path", ["nowhere.json", "a\0b", "/dev/null", "."])
def test_files_that_cannot_be_read(cleatwright, tmp_path, monkeypatch, path):
    monkeypatch.chdir(tmp_path)
    ran = cleatwright("check", path)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(("1 problem:", "2 problems:"))
