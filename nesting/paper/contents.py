"""What a plan's folder holds: the name and the bytes of each file, nothing written yet.

``plan.json`` holds the project as well, under ``job``, so that a plan can be checked, and made anew after a loss, from
its folder alone. Beside these files stand ``progress.json`` (:mod:`nesting.progress.file`) and the plans that were made
anew, in ``earlier`` (:mod:`nesting.paper.earlier`).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Final

from nesting.draw.elevation import draw_wall
from nesting.draw.ink import to_svg
from nesting.draw.layouts import layout_page
from nesting.draw.subject import subject_of
from nesting.errors import Bug
from nesting.paper.dxf import available, layouts_dxf
from nesting.paper.labels import labels_csv
from nesting.paper.load_table import load_csv
from nesting.paper.packet import Paper, packet_pdf
from nesting.paper.tables import buy_csv, steps_csv
from nesting.plan import Plan, plan_to_json

PLAN: Final = "plan.json"
"""The file that stands for the whole: it arrives last and leaves first."""
COMPARISON: Final = "compare.json"
HEADS: Final = (PLAN, COMPARISON)
"""The files that arrive last and leave first: while one is there, all that belongs to it is there too."""
ALWAYS: Final = (PLAN, "packet.pdf", "steps.csv", "buy.csv", "labels.csv")
DXF: Final = "layouts.dxf"
LAYOUTS: Final = "layouts"
WALL: Final = "wall.svg"
LOAD: Final = "load.csv"
_SAFE_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")


def usual_files() -> tuple[str, ...]:
    """Return the names of the files that every plan has here, drawings aside."""
    return (*ALWAYS, DXF) if available() else ALWAYS


def contents(plan: Plan, *, paper: Paper | None = None, on: date | None = None) -> Mapping[str, bytes]:
    """Return the files of a plan by their names below its folder, ``/`` between.

    ``paper`` and ``on`` are those of :func:`~nesting.paper.packet.packet_pdf`. ``layouts.dxf`` is among them where
    the library that writes it is there. Only layout ids become file names. Raises :class:`~nesting.errors.Bug`
    where an id is none that can, or where two would be one file on a disk that does not tell capitals from small
    letters.
    """
    ids = [layout.id for layout in plan.layouts]
    for id_ in ids:
        if not _SAFE_ID.fullmatch(id_):
            raise Bug(f"a layout has the id {id_!r}, which cannot name a file")
    if len({id_.lower() for id_ in ids}) < len(ids):
        raise Bug("two layouts have the same id")
    texts = {
        PLAN: plan_to_json(plan),
        "steps.csv": steps_csv(plan),
        "buy.csv": buy_csv(plan),
        "labels.csv": labels_csv(plan),
    }
    drawn = {id_: layout_page(subject_of(plan, id_)) for id_ in ids}
    texts |= {f"{LAYOUTS}/{id_}.svg": to_svg(page) for id_, page in drawn.items()}
    if plan.wall is not None and plan.wall.width is not None:
        texts[WALL] = draw_wall(plan)
    if plan.load is not None and plan.load.rows:
        texts[LOAD] = load_csv(plan)
    files = {name: text.encode() for name, text in texts.items()}
    files["packet.pdf"] = packet_pdf(plan, paper=paper, on=on, drawn=drawn)
    if available():
        files[DXF] = layouts_dxf(plan)
    usual = usual_files()
    return {name: files[name] for name in (*usual, *sorted(files.keys() - set(usual)))}
