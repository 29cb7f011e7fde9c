"""The README's commands are those that CI runs, and its links and pictures exist."""

import re
import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path

from nesting.project.starter import starter_text

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
CI = (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def _commands() -> list[str]:
    """The one-line commands that set themselves up."""
    return [line for line in README.splitlines() if line.startswith("python3 -m venv")]


def test_there_are_two_commands_of_one_line_each():
    plan, tests = _commands()
    assert "cleatwright new" in plan
    assert "cleatwright plan" in plan
    assert "pytest" in tests


def test_ci_runs_the_test_command_of_the_readme():
    tail = _commands()[1].rpartition("&&")[2].strip()
    assert tail.startswith(".venv/bin/python -m pytest")
    assert tail.removeprefix(".venv/bin/") in CI.splitlines()


def test_local_links_lead_somewhere():
    links = re.findall(r"!?\[[^\]]*\]\(([^)#\s]+)[^)]*\)", README)
    local = [link for link in links if "://" not in link]
    assert local
    assert [link for link in local if not (ROOT / link).exists()] == []


def test_the_picture_is_a_drawing():
    (picture,) = re.findall(r"!\[[^\]]+\]\(([^)]+\.svg)\)", README)
    assert ET.parse(ROOT / picture).getroot().tag == "{http://www.w3.org/2000/svg}svg"  # noqa: S314


def test_the_job_comes_first():
    first = next(block for block in README.split("\n\n")[1:] if block.strip())
    assert not first.startswith(("#", "!", "-", "`"))
    assert "plywood" in first


def test_the_example_is_the_starter_of_a_wall():
    """Its heart is cut short, but whatever it says is what the starter says."""
    (example,) = re.findall(r"```toml\n(.*?)```", README, re.S)
    shown, starter = tomllib.loads(example), tomllib.loads(starter_text(wall=True))
    assert "--wall" in _commands()[0]
    for key, given in shown.items():
        told = starter[key]
        if isinstance(given, list):
            assert given[0].items() <= told[0].items(), key
            continue
        for name, value in given.items():
            if isinstance(value, dict):
                assert value.items() <= told[name].items(), name
            elif name == "keepout":
                assert value[0].items() <= told[name][0].items()
            else:
                assert value == told[name], name
