"""``packet.pdf``: the whole plan on Letter or A4, to take to the shop.

Set by typst, which brings its faces along, so the pages look alike on every machine. What the plan says travels
as data and is never read as markup. The only module that knows typst.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime, time
from functools import partial
from importlib import resources
from typing import Final, Literal

from nesting.draw.hand import PRINT
from nesting.draw.ink import Page, to_svg
from nesting.errors import BadInput, Bug, Fault
from nesting.paper.cover import Section, cover
from nesting.paper.hung import loads, wall
from nesting.paper.shop import crosscuts, labels, layouts, steps
from nesting.paper.words import shown
from nesting.plan import Plan

Paper = Literal["letter", "a4"]
PAPERS: Final[tuple[Paper, ...]] = ("letter", "a4")
Builder = Callable[[Plan], list[Section]]
_DRAWINGS: Final = """
#set document(title: "Labels")
#for one in json(bytes(sys.inputs.pages)) {
  page(width: one.width * 1pt, height: one.height * 1pt, margin: 0pt,
    image(bytes(one.svg), format: "svg", alt: one.alt, width: 100%))
}
"""
_MONTHS: Final = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
# Blocks of Unicode that the faces of typst hold: Latin with its supplements, Greek, Cyrillic, Hebrew, signs.
_BUILT_IN: Final = ((0x20, 0x7E), (0xA0, 0x17F), (0x391, 0x3A1), (0x3A3, 0x3CE), (0x400, 0x45F), (0x5D0, 0x5EA))
_SIGNS: Final = frozenset("\u200b\u2068\u2069–—‘’“”„†•…′″⁄€™→−×")


def sections(drawn: Mapping[str, Page] | None = None) -> tuple[tuple[str, Builder], ...]:
    """Return what a packet holds, in this order, as the cover lists it; each gives pages only where there is matter.

    ``drawn`` are layouts drawn already, by their ids.
    """
    return (
        ("", cover),
        ("Layouts", partial(layouts, drawn=drawn or {})),
        ("Steps", steps),
        ("Crosscuts by stop", crosscuts),
        ("Wall", wall),
        ("What carries it", loads),
        ("Labels", labels),
    )


def packet_pdf(
    plan: Plan, *, paper: Paper | None = None, on: date | None = None, drawn: Mapping[str, Page] | None = None
) -> bytes:
    """Return the packet of a plan as PDF (PDF/UA-1 where the built-in faces hold all its letters).

    ``paper`` is Letter for a plan in inches and A4 for one in millimetres unless given; ``on`` is the date printed,
    by default :func:`today`; ``drawn`` are layouts drawn already, by their ids. The same plan, paper and date give the
    same bytes; only names in scripts that the built-in faces lack are set in whatever the machine has for them.
    Raises :class:`~nesting.errors.BadInput` as :func:`today` does.
    """
    import typst

    day = on or today()
    told = json.dumps(_document(plan, paper or usual_paper(plan), day, drawn), ensure_ascii=False)
    plain = _built_in(told)
    try:
        data = typst.compile(
            resources.files("nesting.paper").joinpath("packet.typ").read_bytes(),
            format="pdf",
            sys_inputs={"packet": told},
            ignore_system_fonts=plain,
            pdf_standards=["ua-1"] if plain else [],
            timestamp=datetime.combine(day, time(), UTC),
        )
    except typst.TypstError as error:
        raise Bug(f"the packet cannot be set: {error.message}") from error
    assert isinstance(data, bytes)  # noqa: S101  (one document, no output file)
    return data


def drawings_pdf(pages: Sequence[Page]) -> bytes:
    """Return drawings as PDF, each on a page of its own size, so that a printer of labels takes them one by one."""
    import typst

    told = json.dumps(
        [{"svg": to_svg(page, PRINT), "alt": page.title, "width": page.width, "height": page.height} for page in pages],
        ensure_ascii=False,
    )
    plain = _built_in(told)
    data = typst.compile(
        _DRAWINGS.encode(), format="pdf", sys_inputs={"pages": told}, ignore_system_fonts=plain,
        timestamp=datetime(1980, 1, 1, tzinfo=UTC),
    )  # fmt: skip
    assert isinstance(data, bytes)  # noqa: S101  (one document, no output file)
    return data


def usual_paper(plan: Plan) -> Paper:
    """Return the paper of the country in which the plan's unit is used: Letter for inches, A4 for millimetres."""
    return "letter" if plan.unit == "in" else "a4"


def today() -> date:
    """Return today's date, or that of ``SOURCE_DATE_EPOCH`` where it is set, for bytes that can be made again.

    Seconds since 1970 in UTC (reproducible-builds.org, "SOURCE_DATE_EPOCH specification", from memory). Raises
    :class:`~nesting.errors.BadInput` where the variable holds anything else.
    """
    given = os.environ.get("SOURCE_DATE_EPOCH")
    if given is None:
        return date.today()
    try:
        if not (given.isascii() and given.isdigit()):
            raise ValueError
        return datetime.fromtimestamp(int(given), UTC).date()
    except (ValueError, OverflowError, OSError):
        raise BadInput([Fault("SOURCE_DATE_EPOCH", "", "is no date", "seconds since 1970, a whole number")]) from None


def _document(plan: Plan, paper: Paper, on: date, drawn: Mapping[str, Page] | None = None) -> dict[str, object]:
    found: list[Section] = []
    for title, build in sections(drawn):
        found += [section | {"listed": "" if at else title} for at, section in enumerate(build(plan))]
    return {
        "paper": paper,
        "title": shown(plan.project, 200) or "Plan",
        "short": shown(plan.project, 60) or "Plan",
        "date": f"{on.day} {_MONTHS[on.month - 1]} {on.year}",
        "day": [on.year, on.month, on.day],
        "sections": found,
    }


def _built_in(text: str) -> bool:
    """Whether the faces that travel with typst hold every sign of a text."""
    return all(
        sign in _SIGNS or any(low <= ord(sign) <= high for low, high in _BUILT_IN) for sign in set(text) - {"\n"}
    )
