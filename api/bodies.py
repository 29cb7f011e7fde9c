"""Reading what a request brings: JSON text, a project in it, an order for a plan; every fault at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from starlette.requests import Request

from api.limits import LARGEST_SEED, Limits
from api.problems import Refused, bad_input, entry
from nesting.errors import BadInput, Fault
from nesting.lengths import said
from nesting.project.faults import fault, unknown_key
from nesting.project.model import Project
from nesting.project.read import project_from_mapping
from nesting.project.text import parsed

USUAL_SECONDS: Final = 10.0


@dataclass(frozen=True, slots=True)
class Order:
    """How a plan is to be searched for."""

    seconds: float
    seed: int


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


def order_in(text: str, limits: Limits) -> Order:
    """Return the order in a body; an empty body asks for the usual."""
    data = _parsed(text) if text.strip() else {}
    faults: list[Fault] = []
    if not isinstance(data, Mapping):
        raise bad_input(BadInput([fault((), f"an order is an object, not {said(data)}", "seconds, seed")]))
    faults += [unknown_key((str(key),), ("seconds", "seed"), {}) for key in data if key not in ("seconds", "seed")]
    seconds, seed = data.get("seconds", USUAL_SECONDS), data.get("seed", 0)
    if not _is_time(seconds, limits.seconds):
        faults.append(
            fault(("seconds",), f"{said(seconds)} is not a time", f"more than 0 and at most {limits.seconds:,}")
        )
    if isinstance(seed, bool) or not isinstance(seed, int) or not 0 <= seed <= LARGEST_SEED:
        faults.append(fault(("seed",), f"{said(seed)} is not a seed", f"a whole number from 0 to {LARGEST_SEED:,}"))
    if faults:
        raise bad_input(BadInput(faults))
    return Order(float(seconds), seed)


def _is_time(value: object, longest: int) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        return False
    return 0 < value <= longest and float(value) > 0


def _parsed(text: str) -> Any:
    try:
        return parsed(text, "json")
    except BadInput as error:
        raise Refused("not-json", errors=[entry(one) for one in error.faults]) from None
