"""The lock file pins every package by version and hash, and names no place to fetch it from."""

import re
import tomllib
from importlib.metadata import PackageNotFoundError, requires
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[2]
LOCK = (ROOT / "requirements.lock").read_text(encoding="utf-8")
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
PINS = [Requirement(line.removesuffix(" \\")) for line in LOCK.splitlines() if re.match(r"[a-z0-9]", line)]


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def test_no_place_is_named():
    assert re.findall(r"://|--(?:index|extra|find|trusted)", LOCK) == []


def test_every_pin_is_exact_and_hashed():
    assert len(PINS) > 40
    assert [pin.name for pin in PINS if [part.operator for part in pin.specifier] != ["=="]] == []
    blocks = re.split(r"\n(?=[a-z0-9])", LOCK.partition("\n")[2])
    assert [block[:40] for block in blocks if re.match(r"[a-z0-9]", block) and "--hash=sha256:" not in block] == []


def test_the_lock_satisfies_the_project():
    pins: dict[str, list[str]] = {}
    for pin in PINS:
        pins.setdefault(_plain(pin.name), []).append(next(iter(pin.specifier)).version)
    asked = [Requirement(text) for text in PROJECT["project"]["dependencies"] + PROJECT["dependency-groups"]["dev"]]
    for need in asked:
        versions = pins[_plain(need.name)]
        assert all(need.specifier.contains(version, prereleases=True) for version in versions), need


def test_extras_asked_for_are_pinned_as_such():
    """pip 23 looks for a pin of `coverage[toml]`, and in vain at `coverage==…`, once a newer release is out."""
    extras = {_plain(pin.name): pin.extras for pin in PINS}
    asked = [Requirement(text) for text in PROJECT["project"]["dependencies"] + PROJECT["dependency-groups"]["dev"]]
    for pin in PINS:
        try:
            asked += [Requirement(text) for text in requires(pin.name) or ()]
        except PackageNotFoundError:  # for another platform
            continue
    needed = [need for need in asked if need.extras and (need.marker is None or need.marker.evaluate({"extra": ""}))]
    assert needed
    assert [str(need) for need in needed if not need.extras <= extras[_plain(need.name)]] == []
