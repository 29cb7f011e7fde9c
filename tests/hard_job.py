"""A job that no search finishes proving soon, and one that is done at once."""

from __future__ import annotations

import random
from typing import Any


def hard(sheets: int = 8) -> dict[str, Any]:
    """Parts of many sizes that fill the sheets but for a hundredth."""
    rng = random.Random(5)
    room, wanted = 0.99 * sheets * 1243 * 893, []
    while True:
        length, width = rng.randint(120, 420), rng.randint(80, 300)
        room -= (length + 3) * (width + 3)
        if room < 0:
            break
        wanted.append(
            {"name": f"part {len(wanted)}", "length": length, "width": width, "thickness": 18, "grain": "any"}
        )
    return {
        "project": {"name": "hard", "unit": "mm"},
        "saw": {"kerf": 3, "edge_trim": 5},
        "sheet": [{"name": "ply", "length": 1250, "width": 900, "thickness": 18, "price": 40}],
        "part": wanted,
    }


EASY: dict[str, Any] = {
    "project": {"name": "easy"},
    "saw": {"kerf": "1/8"},
    "sheet": [{"name": "ply", "length": 96, "width": 48, "thickness": "3/4", "price": 60}],
    "part": [{"name": "shelf", "length": 24, "width": 9, "thickness": "3/4", "quantity": 3}],
}
