"""Reading what a request brings: JSON text, a project in it, an order for a plan; every fault at once."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from starlette.requests import Request

from api.limits import LARGEST_SEED, Limits
from api.problems import Refused, bad_input, entry
from api.store.ticks import MeasureRow, SpoilRow
from nesting.errors import BadInput, Fault
from nesting.lengths import NotALength, Unit, read_length, said
from nesting.progress.record import LONGEST_NOTE, MOST_LEFT
from nesting.project.faults import fault, unknown_key
from nesting.project.model import Project
from nesting.project.read import project_from_mapping, project_to_mapping
from nesting.project.text import parsed
from nesting.rack.draw_on import project_on
from nesting.rack.piece import RackPiece, piece_from
from nesting.rack.rack import Smallest
from nesting.rack.rack_file import smallest_from

USUAL_SECONDS: Final = 10.0
LONGEST_ID: Final = 120
VARIED: Final = ("cleat_height", "thickness", "kerf", "gap", "sheet")
"""What a comparison can vary."""


@dataclass(frozen=True, slots=True)
class Order:
    """How a plan is to be searched for."""

    seconds: float
    seed: int
    rack: bool = False
    """Whether it draws on the rack."""


async def json_text(request: Request) -> str:
    """Return the text of a JSON body; refuse another type, and bytes that are no UTF-8."""
    body = await request.body()
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json" and not kind.endswith("+json") and (body or kind):
        raise Refused("wrong-type", f"{said(kind)} is not application/json" if kind else "Content-Type is missing")
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        faults = [Fault("", "", f"line {line} is not UTF-8 text", "JSON in UTF-8")]
        raise Refused("not-json", errors=[entry(one) for one in faults]) from None


def project_in(text: str, limits: Limits) -> Project:
    """Return the project in a body; refuse one with faults, or larger than the limits."""
    data = _parsed(text)
    try:
        project = project_from_mapping(data)
        limits.of(project)
    except BadInput as error:
        raise bad_input(error) from None
    return project


def order_in(text: str, limits: Limits, *, usual: float = USUAL_SECONDS, rack: bool = True) -> Order:
    """Return the order in a body; an empty body asks for the usual. ``rack``: whether it may ask for the rack."""
    data = _object(text, ("seconds", "seed", "rack") if rack else ("seconds", "seed"))
    order, faults = _order({"seconds": min(usual, float(limits.seconds)), **data}, ("rack",) if rack else (), limits)
    draws = data.get("rack", False)
    if rack and not isinstance(draws, bool):
        faults.append(fault(("rack",), f"{said(draws)} is not a yes or no", "true or false"))
    if faults:
        raise bad_input(BadInput(faults))
    return Order(order.seconds, order.seed, draws is True)


def project_on_rack(document: str, pieces: Iterable[RackPiece]) -> str:
    """Return the document of a project with the pieces of the rack that can serve it; refuse one with faults."""
    try:
        return json.dumps(project_to_mapping(project_on(_parsed(document), pieces)))
    except BadInput as error:
        raise bad_input(error) from None


def piece_in(text: str, fresh: Callable[[], str]) -> RackPiece:
    """Return the piece of the rack in a body; ``fresh`` gives its label where it has none."""
    try:
        return piece_from(_parsed(text), fresh)
    except BadInput as error:
        raise bad_input(error) from None


def smallest_in(text: str) -> Smallest:
    """Return the smallest leftover worth keeping that a body sets."""
    data = _object(text, ("smallest",))
    faults = [unknown_key((str(key),), ("smallest",), {}) for key in data if key != "smallest"]
    if "smallest" not in data:
        faults.append(fault(("smallest",), "is missing", "a table of unit, length, width"))
    size = smallest_from(data.get("smallest", {}), ("smallest",), faults)
    if faults:
        raise bad_input(BadInput(faults))
    return size


async def csv_text(request: Request) -> str:
    """Return the text of a body that is a table; refuse another type, and bytes that are no UTF-8."""
    body = await request.body()
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "text/csv":
        raise Refused("wrong-type", f"{said(kind)} is not text/csv" if kind else "Content-Type is missing")
    return table_text(body)


def table_text(body: bytes) -> str:
    """Return the text of a table; refuse bytes that are no UTF-8."""
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = body.count(b"\n", 0, error.start) + 1
        raise bad_input(BadInput([Fault(f"line {line}", "", "is not UTF-8 text", "CSV in UTF-8")])) from None


def comparison_in(text: str, project: Project, limits: Limits) -> tuple[Order, str]:
    """Return the order of a comparison and what it varies, as JSON; its ``seconds`` are for each alternative."""
    from nesting.compare.alternatives import Asked, alternatives

    data = _object(text)
    order, faults = _order(data, VARIED, limits)
    asked: dict[str, tuple[str, ...]] = {}
    for key in VARIED:
        values = data.get(key, [])
        if not isinstance(values, list) or not all(
            isinstance(value, str | int | Decimal) and not isinstance(value, bool) for value in values
        ):
            faults.append(fault((key,), f"{said(values)} is not what belongs here", "a list of lengths or names"))
        else:
            asked[key] = tuple(map(str, values))
    try:
        count = len(alternatives(project, Asked(**asked)))
    except BadInput as error:
        faults += [_in_body(one) for one in error.faults]
        count = 0
    if count > limits.alternatives:
        faults.append(fault((), f"{count:,} alternatives are asked for", f"at most {limits.alternatives:,} here"))
    elif order.seconds * count > limits.seconds:
        faults.append(
            fault(("seconds",), f"{order.seconds:g} for each of {count}", f"at most {limits.seconds:,} in all")
        )
    if faults:
        raise bad_input(BadInput(faults))
    return Order(order.seconds * count, order.seed), json.dumps({**asked, "each": order.seconds})


def spoil_in(text: str, unit: Unit) -> SpoilRow:
    """Return the lost piece that a body tells of, lengths in ``unit``."""
    data, faults = _told(text, ("piece", "left", "note"), ("piece",))
    left = data.get("left", [])
    rest: list[tuple[float, float]] = []
    if not isinstance(left, list) or len(left) > MOST_LEFT:
        faults.append(fault(("left",), f"{said(left)} is not what remains", f"a list of at most {MOST_LEFT} sizes"))
        left = []
    for at, sides in enumerate(left):
        if not isinstance(sides, list) or len(sides) != 2:
            faults.append(fault(("left", at), f"{said(sides)} is not a size", "a length and a width in a list"))
        else:
            length, width = (_length(side, unit, ("left", at, rank), faults) for rank, side in enumerate(sides))
            rest.append((length, width))
    note = data.get("note", "")
    if not isinstance(note, str) or len(note) > LONGEST_NOTE or not note.replace("\n", " ").isprintable():
        faults.append(
            fault(("note",), f"{said(note)} is not a note", f"a text of at most {LONGEST_NOTE} printable characters")
        )
    if faults:
        raise bad_input(BadInput(faults))
    return SpoilRow(data["piece"], tuple(rest), note)


def measure_in(text: str, unit: Unit) -> MeasureRow:
    """Return the measured piece that a body tells of, lengths in ``unit``."""
    keys = ("piece", "length", "width")
    data, faults = _told(text, keys, keys)
    length, width = (_length(data[key], unit, (key,), faults) if key in data else 1.0 for key in ("length", "width"))
    if faults:
        raise bad_input(BadInput(faults))
    return MeasureRow(data["piece"], length, width)


def _told(text: str, known: tuple[str, ...], needed: tuple[str, ...]) -> tuple[Mapping[str, Any], list[Fault]]:
    """Return an object of which the first known key is the id of a piece, with the faults of its keys."""
    data = _object(text, known)
    faults = [unknown_key((str(key),), known, {}) for key in data if key not in known]
    faults += [fault((key,), "is missing") for key in needed if key not in data]
    piece = data.get("piece", "x")
    if not isinstance(piece, str) or not 0 < len(piece) <= LONGEST_ID or not piece.isprintable():
        faults.append(fault(("piece",), f"{said(piece)} is not a piece", "an id as on drawings, such as A1.7"))
    return data, faults


def _length(value: object, unit: Unit, place: tuple[str | int, ...], faults: list[Fault]) -> float:
    try:
        return float(read_length(value, unit, zero=False))  # type: ignore[arg-type]  # anything else is refused too
    except NotALength as error:
        faults.append(fault(place, error.reason, error.accepted))
        return 1.0


def _in_body(one: Fault) -> Fault:
    """Return a fault of an option of the command line as one of the key of the same name."""
    key = one.path.removeprefix("--").replace("-", "_").partition(" ")[0]
    return fault((key,), one.message, one.accepted) if key in VARIED else fault((), str(one))


def _object(text: str, known: tuple[str, ...] = ("seconds", "seed")) -> Mapping[str, Any]:
    data = _parsed(text) if text.strip() else {}
    if not isinstance(data, Mapping):
        raise bad_input(BadInput([fault((), f"an object is expected, not {said(data)}", ", ".join(known))]))
    return data


def _order(data: Mapping[str, Any], more: tuple[str, ...], limits: Limits) -> tuple[Order, list[Fault]]:
    known = (*more, "seconds", "seed")
    faults = [unknown_key((str(key),), known, {}) for key in data if key not in known]
    usual = min(USUAL_SECONDS, float(limits.seconds))
    seconds, seed = data.get("seconds", usual), data.get("seed", 0)
    if not _is_time(seconds, limits.seconds):
        faults.append(
            fault(("seconds",), f"{said(seconds)} is not a time", f"more than 0 and at most {limits.seconds:,}")
        )
        seconds = usual
    if isinstance(seed, bool) or not isinstance(seed, int) or not 0 <= seed <= LARGEST_SEED:
        faults.append(fault(("seed",), f"{said(seed)} is not a seed", f"a whole number from 0 to {LARGEST_SEED:,}"))
        seed = 0
    return Order(float(seconds), seed), faults


def _is_time(value: object, longest: int) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return False
    return 0 < value <= longest and float(value) > 0


def _parsed(text: str) -> Any:
    try:
        return parsed(text, "json")
    except BadInput as error:
        raise Refused("not-json", errors=[entry(one) for one in error.faults]) from None
