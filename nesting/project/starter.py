"""The starter project files: every key explained, and jobs that can be planned as they are."""

from __future__ import annotations

from importlib.resources import files


def starter_text(*, wall: bool = False) -> str:
    """Return the commented starter project file, TOML; with ``wall`` the one of a wall and its tool holders.

    >>> starter_text().splitlines()[0]
    '# A cutting job: what is on sale, which saw, and what to make of it.'
    """
    name = "starter_wall.toml" if wall else "starter.toml"
    return files("nesting.project").joinpath(name).read_text(encoding="utf-8")
