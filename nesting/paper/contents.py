"""What a plan's folder holds: the name and the bytes of each file, nothing written yet."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from nesting.draw.elevation import draw_wall
from nesting.draw.layouts import draw_layout
from nesting.errors import Bug
from nesting.paper.load_table import load_csv
from nesting.paper.tables import buy_csv, steps_csv
from nesting.plan import Plan, plan_to_json

PLAN: Final = "plan.json"
"""The file that stands for the whole: it arrives last and leaves first."""
COMPARISON: Final = "compare.json"
HEADS: Final = (PLAN, COMPARISON)
"""The files that arrive last and leave first: while one is there, all that belongs to it is there too."""
ALWAYS: Final = (PLAN, "steps.csv", "buy.csv")
LAYOUTS: Final = "layouts"
WALL: Final = "wall.svg"
LOAD: Final = "load.csv"
_SAFE_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")


def contents(plan: Plan) -> Mapping[str, bytes]:
    """Return the files of a plan by their names below its folder, ``/`` between.

    Only layout ids become file names. Raises :class:`~nesting.errors.Bug` where an id is none that can,
    or where two would be one file on a disk that does not tell capitals from small letters.
    """
    ids = [layout.id for layout in plan.layouts]
    for id_ in ids:
        if not _SAFE_ID.fullmatch(id_):
            raise Bug(f"a layout has the id {id_!r}, which cannot name a file")
    if len({id_.lower() for id_ in ids}) < len(ids):
        raise Bug("two layouts have the same id")
    texts = {PLAN: plan_to_json(plan), "steps.csv": steps_csv(plan), "buy.csv": buy_csv(plan)}
    texts |= {f"{LAYOUTS}/{id_}.svg": draw_layout(plan, id_) for id_ in ids}
    if plan.wall is not None and plan.wall.width is not None:
        texts[WALL] = draw_wall(plan)
    if plan.load is not None and plan.load.rows:
        texts[LOAD] = load_csv(plan)
    return {name: text.encode() for name, text in texts.items()}
