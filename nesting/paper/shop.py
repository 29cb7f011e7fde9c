"""The pages for the shop: one a layout, the steps by setting with boxes to tick, crosscuts by stop, labels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from nesting.draw.hand import PRINT
from nesting.draw.ink import Page, to_svg
from nesting.draw.layouts import layout_page
from nesting.draw.piece import piece_page
from nesting.draw.section import HEIGHT, WIDTH, section
from nesting.draw.setting import (
    LEAN_LEAST,
    WHAT,
    Setting,
    blade_words,
    made_words,
    off_the_mark,
    sentences,
    settings_of,
    side_of,
)
from nesting.draw.subject import Rule, rule_of, subject_of
from nesting.paper.cover import Section
from nesting.paper.labels import Label, labels_of
from nesting.paper.words import counted, shown, together
from nesting.plan import Plan, StepDocument
from nesting.sequence.cautions import named

_NAME = 80
_HARMLESS = " (all of it waste: an error here does no harm)"
_HOLD = {"table saw": "to the fence", "crosscut sled": "to the stop", "breakdown saw": "is measured from"}


def layouts(plan: Plan, drawn: Mapping[str, Page]) -> list[Section]:
    """Return one page for each layout: its drawing, at the scale it states wherever paper allows.

    Layouts that are not ``drawn`` yet, by their ids, are drawn here.
    """
    drifts = {drift.layout: drift.text for drift in plan.work.drift} if plan.work else {}
    return [
        drawing(
            drawn.get(layout.id) or layout_page(subject_of(plan, layout.id)),
            f"Layout {layout.id}",
            drifts.get(layout.id, "").removeprefix(f"{layout.id}: "),
        )
        for layout in plan.layouts
    ]


def drawing(page: Page, heading: str, note: str = "") -> Section:
    """Return a page for one drawing, upright or across as it is itself, with a note below."""
    note = together(shown(note, 600))
    return {
        "kind": "drawing",
        "heading": heading,
        "svg": to_svg(page, PRINT),
        "alt": f"{page.title}. {page.desc}",
        "note": f"{note[:1].upper()}{note[1:]}",
        "width": page.width,
        "height": page.height,
    }


def steps(plan: Plan) -> list[Section]:
    """Return the steps, grouped by setting in working order."""
    settings = [_setting(setting) for setting in settings_of(plan)]
    return [{"kind": "steps", "heading": "Steps", "settings": settings}] if settings else []


def _setting(setting: Setting) -> dict[str, Any]:
    first, rule = setting.first, setting.rule
    tilted = first.bevel >= LEAN_LEAST
    return {
        "title": f"Setting {setting.number} of {setting.total}",
        "station": first.station,
        "count": counted(len(setting.steps), "cut"),
        "number": together(rule.length(first.setting)),
        "unit": rule.unit,
        "what": WHAT[first.station],
        "exactly": off_the_mark(setting),
        "blade": blade_words(setting),
        "tilted": tilted,
        "section": to_svg(_section(setting), PRINT) if tilted else "",
        "alt": f"{blade_words(setting)}. {' '.join(sentences(setting))}",
        "sentences": " ".join(sentences(setting)) if tilted else "",
        "cautions": _cautions(setting),
        "rows": [
            _row(setting, step) | {"svg": to_svg(piece_page(step, setting.nodes), PRINT)} for step in setting.steps
        ],
    }


def _section(setting: Setting) -> Page:
    return Page(WIDTH, HEIGHT, "", "", tuple(section(setting, 0.0)))


def _cautions(setting: Setting) -> list[str]:
    """Return what to mind at a setting, each sentence once; where not for all its steps, with their numbers."""
    told: dict[str, list[int]] = {}
    for step in setting.steps:
        for caution in setting.cautions_at(step):
            told.setdefault(caution, []).append(step.n)
    found = []
    for caution, numbers in told.items():
        some = "" if len(numbers) == len(setting.steps) else f"{named(numbers).capitalize()}: "
        found.append(together(some + shown(caution, 2000)))
    return found


def _row(setting: Setting, step: StepDocument) -> dict[str, str]:
    node = setting.nodes[step.piece]
    side, hold = side_of(step), _HOLD[step.station]
    placed = f"measured from the {side}" if step.station == "breakdown saw" else f"{side} {hold}"
    made = made_words(setting, step, lambda name: shown(name, _NAME))
    return {
        "n": str(step.n),
        "piece": shown(step.piece, 40),
        "size": together(setting.rule.size((node.length, node.width))),
        "side": placed,
        "makes": together(made) + (_HARMLESS if step.matters and set(step.matters) == {"waste"} else ""),
        "alt": f"Piece {step.piece}, {placed}, is cut in {made}.",
    }


def crosscuts(plan: Plan) -> list[Section]:
    """Return the crosscuts of the sled by stop setting, the longest first."""
    by_stop: dict[str, list[dict[str, str]]] = {}
    stops: dict[str, float] = {}
    for setting in settings_of(plan):
        if setting.first.station == "crosscut sled":
            number = setting.rule.length(setting.first.setting)
            stops.setdefault(number, setting.first.setting)
            rows = by_stop.setdefault(number, [])
            rows += [_row(setting, step) for step in setting.steps]
    if not by_stop:
        return []
    groups = [
        {"number": together(number), "unit": plan.unit, "rows": by_stop[number]}
        for number in sorted(by_stop, key=lambda number: -stops[number])
    ]
    return [{"kind": "crosscuts", "heading": "Crosscuts by stop", "groups": groups}]


def labels(plan: Plan) -> list[Section]:
    """Return the pages of labels, one label a part, in working order."""
    rule = rule_of(plan)
    found = [_label(label, rule) for label in labels_of(plan)]
    return [{"kind": "labels", "heading": "Labels", "labels": found}] if found else []


def _label(label: Label, rule: Rule) -> dict[str, str]:
    return {
        "part": shown(label.part, 60) or "a part",
        "size": together(f"{rule.size((label.length, label.width))} × {rule.length(label.thickness)}"),
        "layout": shown(label.layout, 8),
        "piece": shown(label.piece, 14),
        "step": "no cut" if label.step is None else f"step {label.step}",
    }
