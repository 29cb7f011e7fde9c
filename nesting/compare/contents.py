"""The files of a comparison by their names, nothing written yet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from nesting.compare.comparison import Comparison
from nesting.compare.document import compare_csv, comparison_document, yield_csv
from nesting.compare.drawings import compare_svg, yield_svg
from nesting.json_text import write_json
from nesting.paper.contents import COMPARISON
from nesting.paper.contents import contents as plan_contents

ALWAYS: Final = (COMPARISON, "compare.csv", "compare.svg", "yield.csv")


def contents(found: Comparison) -> Mapping[str, bytes]:
    """Return the files of a comparison; ``yield.svg`` only where a sheet suits the cleats.

    Where a limit was set, those of the plan for the most that can be done within it are among them; else, where sheets
    must be cut in the shop to be carried home, those of that plan.
    """
    texts = {
        COMPARISON: comparison_json(found),
        "compare.csv": compare_csv(found),
        "compare.svg": compare_svg(found),
        "yield.csv": yield_csv(found),
    }
    curve = yield_svg(found)
    if curve is not None:
        texts["yield.svg"] = curve
    files = {name: text.encode() for name, text in texts.items()}
    plan = found.best.plan if found.best is not None else None
    if plan is None and found.carried is not None and not found.within:
        plan = found.carried.plan
    return files if plan is None else {**plan_contents(plan), **files}


def comparison_json(found: Comparison) -> str:
    """Return the text of the JSON document of a comparison."""
    return write_json(comparison_document(found))
