"""What stands under every plan: the plan is arithmetic, the saw is not."""

from __future__ import annotations

from typing import Final

CAUTIONS: Final = (
    "The saw's manual and local rules come before this plan. Leave out a step that is not safe on your saw.",
    "Guard and riving knife stay on wherever the cut allows; where not, as at some bevel rips, ask the manual.",
    "Push stick or block for narrow pieces, no hand in line with the blade, nobody behind it. Eyes, ears, dust mask.",
    "Unplug the saw before you change the blade or reach near it. Let it stop before you take an offcut away.",
    "Measure kerf and thickness on your own saw and sheets first, and make a test cut before the first bevel rip.",
    "What a wall, its screws and studs carry is estimated at best: no engineered rating. Local codes prevail.",
)
