"""The wall as far as it has been typed, drawn; or why it cannot be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from api.pages.form.reading import Reading, in_words
from api.pages.form.typed import Typed, at, blank, to_keys
from nesting.draw.subject import Rule
from nesting.draw.wall_sketch import draw_wall_sketch, holder_keys
from nesting.errors import BadInput
from nesting.plan_wall import WallDocument
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.sketch import sketch

_STOCKS: Final = ("sheet", "board", "offcut")
_STAND_IN: Final = {"length": "8 ft", "width": "4 ft"}
_TRIES: Final = 5


@dataclass(frozen=True, slots=True)
class Drawn:
    """A wall's drawing; ``svg`` is empty where there is none, ``why`` then says why, or what does not fit on it."""

    svg: str
    heading: str
    why: tuple[str, ...]
    notes: tuple[str, ...]
    keys: tuple[tuple[str, str], ...]


def drawn(typed: Typed, reading: Reading) -> Drawn:
    """Return the drawing of what was typed; faults elsewhere in the form do not keep a wall from being drawn."""
    if blank(at(typed, ("wall",))):
        return Drawn("", "", (), ("No wall yet: give its width and height, and it is drawn here.",), ())
    if blank(at(typed, ("wall", "width"))) or blank(at(typed, ("wall", "height"))):
        return Drawn("", "", (), ("The wall is drawn here once it has a width and a height.",), ())
    project, why, left = reading.project, tuple[str, ...](), tuple[str, ...]()
    if project is None:
        project, why, left = _as_far_as_possible(typed)
    if project is None:
        return Drawn("", "The wall cannot be drawn yet", why, (), ())
    made = sketch(project)
    notes = [*left]
    if made.unhung:
        notes.append("The holders are too many to be hung in this drawing; the plan hangs them.")
    if made.wall is None:
        return Drawn("", "This wall cannot be done", made.reasons, tuple(notes), ())
    notes += _sentences(made.wall)
    rule = Rule(project.unit, project.project.fence_step)
    heading = "Not everything can be done on this wall" if made.reasons else ""
    return Drawn(
        draw_wall_sketch(project.name, made.wall, rule), heading, made.reasons, tuple(notes),
        tuple(dict.fromkeys(holder_keys(made.wall))),
    )  # fmt: skip


def _sentences(wall: WallDocument) -> list[str]:
    notes = [f"{left.text[:1].upper()}{left.text[1:]}." for left in wall.left_out]
    if wall.holders:
        notes.append("Where holders hang is a first try; the plan settles it.")
    return notes


def _as_far_as_possible(typed: Typed) -> tuple[Project | None, tuple[str, ...], tuple[str, ...]]:
    """Return a project of the wall and what can be hung on it; or the faults of wall and cleats; and what is left out.

    What is faulty elsewhere gives way to what is usual, a holder without its sizes to none; their fields tell of it.
    """
    keys = to_keys(typed)
    data = dict(keys.data)
    rest: dict[str, Any] = {"wall": data["wall"], "cleats": data.get("cleats", {})}
    head, saw = dict(data.get("project", {})), dict(data.get("saw", {}))
    stocks = {name: list(data.get(name, ())) for name in _STOCKS}
    holders = list(data.get("holder", ()))
    wanted = {rest["cleats"].get("thickness"), *(holder.get("thickness") for holder in holders)}
    for _ in range(_TRIES):
        tried = {
            **rest, "project": {"name": "Wall", **head}, "saw": {"kerf": 0, **saw}, **stocks, "holder": holders,
        }  # fmt: skip
        try:
            project = project_from_mapping(tried)
        except BadInput as error:
            places = [tuple(fault.pointer.split("/")[1:]) for fault in error.faults]
            own = [fault for fault, place in zip(error.faults, places, strict=True) if place[:1] == ("wall",)]
            if own:
                return None, tuple(f"{_where(fault.pointer)}: {fault.message}" for fault in own), ()
            no_stock = [place for place, fault in zip(places, error.faults, strict=True) if "no stock" in fault.message]
            head = _without(head, places, "project")
            saw = _without(saw, places, "saw")
            rest["cleats"] = _without(rest["cleats"], [place for place in places if place not in no_stock], "cleats")
            stocks = {name: _kept(rows, places, name) for name, rows in stocks.items()}
            holders = _kept(holders, [place for place in places if place not in no_stock], "holder")
            if no_stock or not any(stocks.values()):
                stocks["sheet"] = [*stocks["sheet"], *_stand_ins(wanted, head.get("unit") == "mm")]
            continue
        gone = len(data.get("holder", ())) - len(holders)
        words = "1 holder is" if gone == 1 else f"{gone} holders are"
        return project, (), (f"{words} not drawn: see the faults beside their fields.",) if gone else ()
    return None, ("Mend the faults in the form first",), ()


def _without(table: Mapping[str, Any], places: list[tuple[str, ...]], name: str) -> dict[str, Any]:
    faulty = {place[1] for place in places if place[:1] == (name,) and len(place) > 1}
    return {key: value for key, value in table.items() if key not in faulty}


def _kept(rows: list[Any], places: list[tuple[str, ...]], name: str) -> list[Any]:
    """Return rows without their faulty keys; a row that wants one, or is at fault as a whole, goes."""
    made = []
    for number, row in enumerate(rows):
        faulty = [place[2:3] for place in places if place[:2] == (name, str(number))]
        if all(key and key[0] in row for key in faulty):
            made.append({key: value for key, value in row.items() if (key,) not in faulty})
    return made


def _stand_ins(wanted: set[Any], millimetres: bool) -> list[dict[str, Any]]:
    """Return a large sheet of every thickness asked for, where no stock has it."""
    usual = "18" if millimetres else "23/32"
    thicknesses = dict.fromkeys(str(one) for one in [usual, *wanted] if one)
    return [{**_STAND_IN, "name": f"any {one}", "thickness": one} for one in thicknesses]


def _where(pointer: str) -> str:
    return in_words(tuple(int(step) if step.isdigit() else step for step in pointer.split("/")[1:]))
