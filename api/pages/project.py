"""The project form: everything typed is kept at once, faults stand beside their fields, the wall is drawn along."""

from __future__ import annotations

from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, Request, Response
from starlette.responses import RedirectResponse

from api.access import Parts, ServiceParts
from api.pages.form.keeping import NAMELESS, Kept, begin, find, fresh_tab, keep, named, remove
from api.pages.form.ordering import draws_on_rack, offered, order_comparison, order_plan, usual_heights
from api.pages.form.reading import FieldFault, Reading, reading_of
from api.pages.form.shape import leaves, project_shape
from api.pages.form.typed import Typed, at, blank, from_fields, with_row, without_row
from api.pages.form.view import all_fields, anchor, rows_view, sections
from api.pages.form.wall import drawn
from api.pages.kept_view import KeptPlan, told
from api.pages.visitors import Visiting, Visitor, page
from api.problems import Refused
from api.routes import projects as project_routes
from api.store import plans, rack

router = APIRouter()

_LATEST_PLANS: Final = 12
_ORDER: Final = ("order.seconds", "order.heights", "order.rack")


@router.get("/projects/{project}")
def show(
    project: str, request: Request, visitor: Visiting, parts: ServiceParts, check: str = "", before: str = ""
) -> Response:
    """Show a project's form as it was left; ``check``: with what is still missing in it."""
    kept = find(parts, visitor.owner, project)
    typed = kept.typed(before=bool(before))
    return _form(request, visitor, parts, kept, typed, check=bool(check), before=bool(before))


def sent_form(visitor: Visiting) -> Typed:
    """Return what a form brought, as typed."""
    pairs = [(name, value) for name, value in visitor.form.multi_items() if isinstance(value, str)]
    order = {name.partition(".")[2]: value for name, value in pairs if name in _ORDER}
    return {**from_fields(pairs), "order": order}


Sent = Annotated[Typed, Depends(sent_form)]


@router.post("/projects/{project}")
def act(project: str, request: Request, visitor: Visiting, parts: ServiceParts, typed: Sent) -> Response:
    """Keep what was typed, then do what was asked: a row more or less, a plan, a comparison."""
    word, _, place = visitor.typed("do").partition(" ")
    if word == "delete":
        return _delete(parts, visitor, project)
    if word == "add":
        typed = with_row(typed, place)
    elif word == "remove":
        typed = without_row(typed, place)
    mark = "" if word == "mine" else visitor.typed("mark") or "none"
    try:
        kept, reading, written = keep(parts, visitor.owner, project, typed, mark, visitor.typed("tab"))
    except Refused as refused:
        if refused.kind != "not-found" or blank(typed):
            raise
        revived = begin(parts, visitor.owner, typed)  # it was deleted meanwhile: what was typed is not lost with it
        return RedirectResponse(f"/projects/{revived.id}", 303)
    check = bool(visitor.typed("check")) or word in ("plan", "compare", "check")
    if not written:
        return _form(request, visitor, parts, kept, typed, check=check, conflict=True, status=409)
    if visitor.partial and word in ("add", "remove"):
        return _rows(request, visitor, kept, typed, reading, place if word == "add" else place.rpartition(".")[0], word)
    here = f"/projects/{kept.id}" + ("?check=1" if check else "")
    if word in ("add", "remove"):
        where = place.replace(".", "-")
        last = len(at(typed, _steps(place))) - 1 if word == "add" else 0
        anchor = f"{where}-{last}" if word == "add" else f"rows-{where.rpartition('-')[0]}"
        return RedirectResponse(f"{here}#{anchor}", 303)
    if word in ("plan", "compare"):
        return _order(request, visitor, parts, kept, typed, reading, word)
    return RedirectResponse(f"{here}#{'wall-drawing' if word == 'draw' else 'summary'}", 303)


@router.post("/projects/{project}/typed")
def follow(project: str, request: Request, visitor: Visiting, parts: ServiceParts, typed: Sent) -> Response:
    """Keep what was typed into a page that follows by script; return the wall's drawing, and every fault's place."""
    mark = visitor.typed("mark") or "none"
    kept, reading, written = keep(parts, visitor.owner, project, typed, mark, visitor.typed("tab"))
    changed = request.headers.get("hx-trigger-name", "")
    if changed == "project.unit" and written:
        return Response(status_code=204, headers={"hx-refresh": "true"})
    faults = reading.shown(all_of_them=bool(visitor.typed("check")))
    restyled = changed.startswith("holder.") and changed.endswith(".style")
    return page(
        request, visitor, "form_follows.html",
        kept=kept, written=written, wall=drawn(typed, reading), **_summary(reading, faults),
        fields=[] if restyled else list(all_fields(sections(typed, faults))),
        rows=rows_view(typed, faults, "holder") if restyled else None,
        order=_ordered(typed, parts, visitor.owner, ()),
    )  # fmt: skip


def _form(
    request: Request,
    visitor: Visitor,
    parts: Parts,
    kept: Kept,
    typed: Typed,
    *,
    check: bool,
    before: bool = False,
    conflict: bool = False,
    order_faults: tuple[str, ...] = (),
    status: int = 200,
) -> Response:
    reading = reading_of(typed, parts.settings.limits)
    faults = reading.shown(all_of_them=check)
    made: list[KeptPlan] = []
    if kept.project is not None:
        with parts.store.reading() as connection:
            rows = plans.of_projects(connection, [kept.project.id])
        made = [told(plan, kept.project) for plan in rows[: -_LATEST_PLANS - 1 : -1]]
    return page(
        request, visitor, "project.html", status,
        kept=kept, name=named(typed), nameless=NAMELESS, sections=sections(typed, faults), check=check,
        conflict=conflict, before=before,
        tab=fresh_tab(), once=fresh_tab(), species=_species(), wall=drawn(typed, reading), plans=made, written=True,
        order=_ordered(typed, parts, visitor.owner, order_faults), **_summary(reading, faults),
    )  # fmt: skip


def _summary(reading: Reading, faults: tuple[FieldFault, ...]) -> dict[str, Any]:
    """Return what stands at the top: every fault that is shown with the id of its field, and what is missing yet."""
    return {
        "faults": [(anchor(fault.place), fault.where, fault.text) for fault in faults],
        "missing": len(reading.faults) - len(faults),
    }


def _ordered(typed: Typed, parts: Parts, owner: str, faults: tuple[str, ...]) -> dict[str, Any]:
    limits = parts.settings.limits
    with parts.store.reading() as connection:
        pieces = rack.count(connection, owner)
    chosen = str(at(typed, ("order", "seconds")))
    choices = offered(limits)
    return {
        "seconds": choices, "chosen": chosen if chosen in map(str, choices) else str(min(10, choices[-1])),
        "heights": str(at(typed, ("order", "heights"))), "usual": usual_heights(typed), "faults": faults,
        "rack": draws_on_rack(typed), "in_rack": pieces,
    }  # fmt: skip


def _rows(
    request: Request, visitor: Visitor, kept: Kept, typed: Typed, reading: Reading, place: str, word: str
) -> Response:
    faults = reading.shown(all_of_them=bool(visitor.typed("check")))
    rows = rows_view(typed, faults, place)
    if rows is None:
        raise Refused("not-found")
    return page(
        request, visitor, "form_rows.html", kept=kept, rows=rows, wall=drawn(typed, reading), word=word,
        written=True, **_summary(reading, faults),
    )  # fmt: skip


def _order(
    request: Request, visitor: Visitor, parts: Parts, kept: Kept, typed: Typed, reading: Reading, word: str
) -> Response:
    if reading.project is None or kept.project is None:
        return RedirectResponse(f"/projects/{kept.id}?check=1#summary", 303)
    once = visitor.typed("once")
    if word == "plan":
        return RedirectResponse(f"/plans/{order_plan(parts, kept.project, typed, once).id}", 303)
    try:
        plan = order_comparison(parts, kept.project, reading.project, typed, once and f"{once}-compare")
    except Refused as refused:
        if refused.kind != "bad-input":
            raise
        told = tuple(
            f"{one['message']}; accepted: {one['accepted']}" if one["accepted"] else one["message"]
            for one in refused.errors
        )
        return _form(request, visitor, parts, kept, typed, check=True, order_faults=told, status=422)
    return RedirectResponse(f"/compare/{plan.id}", 303)


def _delete(parts: Parts, visitor: Visitor, project: str) -> Response:
    kept = find(parts, visitor.owner, project)
    if kept.project is not None:
        project_routes.delete(project, visitor.owner, parts)
    else:
        remove(parts, kept)
    return RedirectResponse("/", 303)


def _species() -> tuple[str, ...]:
    return next(leaf.suggested for _, leaf in leaves(project_shape()) if leaf.suggested)


def _steps(place: str) -> list[str | int]:
    return [int(step) if step.isdigit() else step for step in place.split(".")]
