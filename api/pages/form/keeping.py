"""Keeping what is typed: every time, at once, as a draft; as the project where it has no fault.

Whoever typed last on another open page is noticed before anything is written over.
"""

from __future__ import annotations

import json
import re
import secrets
from dataclasses import dataclass, replace
from typing import Final

from sqlalchemy import Connection

from api.access import Parts
from api.pages.form.reading import Reading, reading_of
from api.pages.form.typed import Typed, at, from_mapping
from api.problems import Refused
from api.store import drafts, projects
from api.store.drafts import DraftRow
from api.store.ids import is_id
from api.store.projects import ProjectRow
from nesting.project.text import parsed

NAMELESS: Final = "(no name yet)"
_TAB: Final = re.compile(r"[\w-]{1,32}")
_CONTROL: Final = re.compile(r"[\x00-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept of one project: its document where there is one, its draft where there is one."""

    id: str
    project: ProjectRow | None
    draft: DraftRow | None

    @property
    def mark(self) -> str:
        """Changes with everything that is typed or handed in."""
        version = self.project.version if self.project else 0
        return f"{version}.{self.draft.revision if self.draft else 0}"

    @property
    def behind(self) -> bool:
        """Whether the project was replaced since the draft was typed, from elsewhere."""
        return self.draft is not None and self.project is not None and self.draft.version != self.project.version

    def changed_by_others(self, mark: str, tab: str) -> bool:
        """Whether somebody else wrote since a page with this mark was shown."""
        if mark == self.mark:
            return False
        return self.draft is None or self.behind or self.draft.tab != tab

    def typed(self, *, before: bool = False) -> Typed:
        """Return what is to stand in the form: the latest; ``before``: the draft, though the project went on."""
        if self.draft is not None and (before or not self.behind):
            typed: Typed = json.loads(self.draft.typed)
            return typed
        assert self.project is not None  # noqa: S101  (one of the two is there)
        return from_mapping(parsed(self.project.document, "json"))[0]


def find(parts: Parts, owner: str, project: str) -> Kept:
    """Return what is kept of somebody's project; refuse an id that is none, or not theirs."""
    with parts.store.reading() as connection:
        return _find(connection, owner, project)


def begin(parts: Parts, owner: str, typed: Typed) -> Kept:
    """Keep a new project, as a draft where it has faults; refuse where there is no room."""
    reading = reading_of(typed, parts.settings.limits)
    name, text = named(typed), json.dumps(typed)
    with parts.store.writing() as connection:
        most = parts.settings.limits.projects_per_key
        if projects.count(connection, owner) + drafts.count(connection, owner) >= most:
            raise Refused("full", f"at most {most:,} projects")
        draft = drafts.add(connection, owner, name, text, faults=len(reading.faults))
        return _written(connection, Kept(draft.project, None, draft), typed, reading, "")


def keep(parts: Parts, owner: str, project: str, typed: Typed, mark: str, tab: str) -> tuple[Kept, Reading, bool]:
    """Keep what was typed, and return it and whether it was: not so where others wrote meanwhile.

    An empty ``mark`` writes over whatever others wrote.
    """
    reading = reading_of(typed, parts.settings.limits)
    with parts.store.writing() as connection:
        kept = _find(connection, owner, project)
        if kept.draft is not None and kept.draft.typed == json.dumps(typed) and not kept.behind:
            return kept, reading, True  # sent again, as by the page before this one: no other window wrote
        if mark and kept.changed_by_others(mark, tab):
            return kept, reading, False
        return _written(connection, kept, typed, reading, tab if _TAB.fullmatch(tab) else ""), reading, True


def remove(parts: Parts, kept: Kept) -> None:
    """Forget a draft that never became a project."""
    with parts.store.writing() as connection:
        drafts.remove(connection, kept.id)


def named(typed: Typed) -> str:
    """Return the name of what was typed, for lists.

    >>> named({"project": {"name": "Bay"}}), named({})
    ('Bay', '(no name yet)')
    """
    name = _CONTROL.sub(" ", str(at(typed, ("project", "name")))).strip()
    return name[: drafts.LONGEST_NAME] or NAMELESS


def fresh_tab() -> str:
    """Return the name of a page that is about to be shown."""
    return secrets.token_urlsafe(9)


def _find(connection: Connection, owner: str, project: str) -> Kept:
    row = draft = None
    if is_id(project):
        row, draft = projects.find(connection, owner, project), drafts.find(connection, owner, project)
    if row is None and (draft is None or draft.version):
        raise Refused("not-found", "There is no project of this id")
    return Kept(project, row, draft)


def _written(connection: Connection, kept: Kept, typed: Typed, reading: Reading, tab: str) -> Kept:
    row = kept.project
    if reading.project is not None:
        name, document = reading.project.name, reading.document
        if row is None:
            row = projects.add(connection, kept.draft.owner if kept.draft else "", name, document, kept.id)
        elif row.document != document:
            projects.replace(connection, row.id, row.version, name, document)
            row = projects.find(connection, row.owner, row.id) or row
    version = row.version if row else 0
    if kept.draft is None:
        assert row is not None  # noqa: S101  (one of the two is there)
        before = DraftRow(kept.id, row.owner, "", "", 0, 0, "", 0, row.created, row.created)
    else:
        before = kept.draft
    changed = replace(
        before, name=named(typed), typed=json.dumps(typed), version=version, faults=len(reading.faults), tab=tab
    )
    return Kept(kept.id, row, drafts.put(connection, changed))
