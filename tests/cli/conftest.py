"""The command line in this process: arguments in; status, standard output and standard error out."""

from collections.abc import Callable
from typing import Any, NamedTuple

import pytest

from cli.main import main
from nesting.project.starter import starter_text
from tests.cli.fake_make import BEHAVIOURS, fake_make


class Ran(NamedTuple):
    status: int
    out: str
    err: str


@pytest.fixture
def cleatwright(capfd, monkeypatch) -> Callable[..., Ran]:
    """Run one command; ``making`` says how the stand-in for the planning behaves."""

    def run(*arguments: str, making: str | Callable[..., Any] | None = None) -> Ran:
        if making is not None:
            behaviour = BEHAVIOURS[making] if isinstance(making, str) else making
            monkeypatch.setitem(__import__("sys").modules, "nesting.make", fake_make(behaviour))
        capfd.readouterr()
        status = main(arguments)
        return Ran(status, *capfd.readouterr())

    return run


@pytest.fixture
def project(tmp_path, monkeypatch) -> str:
    """A sound project file in an empty working folder."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "demo.toml").write_text(starter_text(), encoding="utf-8")
    return "demo.toml"
