"""The starter project file: every key explained, and a job that can be planned as it is."""

from __future__ import annotations

from importlib.resources import files


def starter_text() -> str:
    """Return the commented starter project file, TOML.

    >>> starter_text().splitlines()[0]
    '# A cutting job: what is on sale, which saw, and what to make of it.'
    """
    return files("nesting.project").joinpath("starter.toml").read_text(encoding="utf-8")
