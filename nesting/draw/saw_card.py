"""One setting of a saw as a picture: the number to set first and largest, the blade in section, the pieces to cut."""

from __future__ import annotations

import math

from nesting.draw.ink import Line, Mark, Page, Rect, Text, to_svg
from nesting.draw.lettering import advance, wrapped
from nesting.draw.section import EDGE, HEIGHT, ROOM, WIDTH, section
from nesting.draw.setting import (
    HOLDS,
    WHAT,
    Setting,
    blade_words,
    end_of,
    made_words,
    off_the_mark,
    sentences,
    setting_of,
)
from nesting.plan import Plan


def draw_setting(plan: Plan, setup: int) -> str:
    """Return the picture of one setting (the steps' ``setup``) as SVG, 390 pixels wide, for phone and packet.

    Raises ``ValueError`` where no step of the plan has that setting.
    """
    return to_svg(setting_page(setting_of(plan, setup)))


def setting_page(setting: Setting) -> Page:
    """Return the card of one setting in our own marks, in pixels."""
    first = setting.first
    shown = setting.rule.length(first.setting)
    marks: list[Mark] = [
        Text(EDGE, 32, f"Setting {setting.number} of {setting.total} · {first.station}", 15.0),
        Text(EDGE, 88, shown, 54.0, bold=True),
    ]
    x = EDGE + advance(shown, 54.0, bold=True) + 12
    what = WHAT[first.station]
    y = 88.0
    if x + advance(what, 16.0) > WIDTH - EDGE:
        x, y = EDGE, 112.0
    marks.append(Text(x, y, what, 16.0))
    y = max(y, 88.0) + 14
    if exactly := off_the_mark(setting):
        y += 14
        marks.append(Text(EDGE, y, exactly, 14.0))
    for line in wrapped(blade_words(setting), ROOM, 18.0, bold=True):
        y += 24
        marks.append(Text(EDGE, y, line, 18.0, bold=True))
    y += 16
    marks.append(Line(EDGE, y, WIDTH - EDGE, y, weight=2))
    marks += section(setting, y)
    y += HEIGHT + 20
    for line in wrapped(" ".join(sentences(setting)), ROOM, 14.0):
        marks.append(Text(EDGE, y, line, 14.0))
        y += 19
    listed, y = _list(setting, y + 8)
    marks += listed
    title = f"Setting {setting.number} of {setting.total}: {first.station}, {HOLDS[first.station]} at {shown}"
    pieces = ", ".join(step.piece for step in setting.steps)
    desc = f"{blade_words(setting)}. {' '.join(sentences(setting))} Pieces to cut: {pieces}."
    return Page(WIDTH, math.ceil(y + 12), title, desc, tuple(marks), unit="px")


def _list(setting: Setting, y: float) -> tuple[list[Mark], float]:
    marks: list[Mark] = []
    for step in setting.steps:
        node = setting.nodes[step.piece]
        marks.append(Rect(EDGE + 1, y, 26, 26, weight=2))
        marks.append(Text(EDGE + 42, y + 12, f"{step.n}.  piece {step.piece}", 17.0, bold=True))
        y += 31
        size = setting.rule.size((node.length, node.width))
        placed = f"measured from the {end_of(step)}" if step.station == "breakdown saw" else ""
        says = f"{size}, {placed or f'{end_of(step)} to the {HOLDS[step.station]}'}"
        for line in wrapped(f"{says}; makes {made_words(setting, step)}", ROOM - 42, 14.0):
            marks.append(Text(EDGE + 42, y, line, 14.0))
            y += 18
        for caution in setting.cautions_at(step):
            for line in wrapped(caution, ROOM - 52, 14.0, bold=True):
                marks.append(Text(EDGE + 52, y, line, 14.0, bold=True))
                marks.append(Line(EDGE + 44, y - 13, EDGE + 44, y + 5, weight=3))
                y += 18
        y += 8
    return marks, y
