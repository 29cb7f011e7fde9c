"""What people and programs hand in by mistake, and what must be said about it: one row a slip.

Shared by the tests of the reader, of the command line and of the service. ``BASE`` is a small job
without a fault; most rows change one thing in it. ``faults`` names for each expected fault its path
and some words of its message; the legal rows at the end expect none.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

BASE: dict[str, Any] = {
    "project": {"name": "Kiln room shelves", "unit": "in"},
    "saw": {"kerf": "1/8", "edge_trim": "1/8"},
    "sheet": [
        {"name": "ply", "length": "96", "width": "48", "thickness": "23/32", "nominal": "3/4", "price": 60},
        {"name": "thin ply", "length": "96", "width": "48", "thickness": "1/2", "price": 40},
    ],
    "part": [
        {"name": "shelf", "length": "24", "width": "9", "thickness": "3/4", "quantity": 3},
        {"name": "tray", "length": "14 1/2", "width": "9", "thickness": "1/2"},
    ],
    "cleats": {"wall_height": 3, "holder_height": 3, "thickness": "23/32", "bevel": 45},
    "cleat": [{"name": "wall cleat", "kind": "wall", "length": "47 3/4", "quantity": 4}],
}
"""A job without a fault."""

GONE = object()
"""Put in place of a value: the key is left out."""


@dataclass(frozen=True, slots=True)
class Row:
    """A document, and the faults it must be refused with: (path, words in the message or in what is accepted).

    ``document`` is a mapping, or text of the kind that ``form`` says.
    """

    id: str
    document: Mapping[str, Any] | str
    faults: tuple[tuple[str, str], ...] = ()
    form: Literal["toml", "json"] = "toml"

    @property
    def json_text(self) -> str | None:
        """The document as the body of a request; None where it is a TOML text, which no request carries."""
        if isinstance(self.document, str):
            return self.document if self.form == "json" else None
        return json.dumps(self.document)


def changed(**changes: Any) -> dict[str, Any]:
    """Return ``BASE`` with values replaced; ``sheet_0_width`` is the width of the first sheet."""
    document = copy.deepcopy(BASE)
    for where, value in changes.items():
        steps: list[str | int] = [int(step) if step.isdigit() else step for step in where.split("__")]
        inner: Any = document
        for step in steps[:-1]:
            inner = inner.setdefault(step, {}) if isinstance(inner, dict) else inner[step]
        if value is GONE:
            del inner[steps[-1]]
        else:
            inner[steps[-1]] = value
    return document


def _bad(id: str, path: str, words: str, **changes: Any) -> Row:
    return Row(id, changed(**changes), ((path, words),))


def _text(id: str, text: str, words: str, form: Literal["toml", "json"] = "toml") -> Row:
    return Row(id, text, (("", words),), form)


LENGTHS = [
    _bad(f"length {name}", "sheet[1].width", words, sheet__0__width=value)
    for name, value, words in [
        ("in words", "three", "'three' is not a length; accepted: a number in the document's unit"),
        ("with a comma", "3,5", "comma"),
        ("with thousands", "1,000", "comma"),
        ("over zero", "1/0", "divides by zero"),
        ("negative", "-2", "is negative"),
        ("negative number", -2, "is negative"),
        ("negative fraction", "-1/2", "is negative"),
        ("not a number", "nan", "'nan' is not a length"),
        ("not a number at all", float("nan"), "nan is not a number"),
        ("infinite", float("inf"), "inf"),
        ("beyond all", "1e999", "'1e999' is not a length"),
        ("with an exponent", "4e1", "is not a length"),
        ("empty", "", "empty"),
        ("blank", "   ", "empty"),
        ("zero", 0, "greater than 0"),
        ("zero text", "0 mm", "greater than 0"),
        ("of weight", "5 kg", "is not a length"),
        ("in yards", "2 yd", "is not a length"),
        ("two units", "8 ft mm", "is not a length"),
        ("two fractions", "1/2/3", "is not a length"),
        ("improper after a whole", "2 9/8", "fraction of 1 or more"),
        ("too many inches", "5' 13\"", "12 or more inches"),
        ("of the far east", "٣", "is not a length"),
        ("a yes", True, "true is not a length"),
        ("nothing", None, "null is not a length"),
        ("a list", [48], "a list is not a length"),
        ("a table", {"in": 48}, "a table is not a length"),
        ("a book", "9" * 5000, "at most 60 characters"),
        ("of a mile", "2 m 3", "is not a length"),
        ("of two kilometres", "2000 m", "at most 1,000,000 mm"),
        ("huge number", 10**30, "too large"),
        ("ten decimals", "1.1234567891", "9 decimals"),
        ("binary noise", 0.1 + 0.2, "9 decimals"),
        ("too fine", "1/10001", "denominators up to 10,000"),
        ("a line break", "48\n", "is not a length"),
        ("hexadecimal", "0x30", "is not a length"),
        ("a formula", "=48", "is not a length"),
    ]
]

VALUES = [
    _bad("kerf negative", "saw.kerf", "is negative", saw__kerf="-1/8"),
    _bad("kerf not a number", "saw.kerf", "nan", saw__kerf=float("nan")),
    _bad("kerf missing", "saw.kerf", "is missing", saw__kerf=GONE),
    _bad("saw missing", "saw.kerf", "is missing", saw=GONE),
    _bad("name missing", "project.name", "is missing", project__name=GONE),
    _bad("project missing", "project.name", "is missing", project=GONE),
    _bad("bevel 90", "cleats.bevel", "more than 0 and at most 60", cleats__bevel=90),
    _bad("bevel 60.5", "cleats.bevel", "more than 0 and at most 60", cleats__bevel=60.5),
    _bad("bevel 0", "cleats.bevel", "more than 0 and at most 60", cleats__bevel=0),
    _bad("bevel negative", "cleats.bevel", "more than 0 and at most 60", cleats__bevel=-45),
    _bad("bevel not a number", "cleats.bevel", "nan", cleats__bevel=float("nan")),
    _bad("bevel infinite", "cleats.bevel", "inf", cleats__bevel=float("inf")),
    _bad("bevel text", "cleats.bevel", "'45' is not a number", cleats__bevel="45"),
    _bad("cleat lower than bevel", "cleats.wall_height", "not higher than the bevel", cleats__wall_height="23/32"),
    _bad("cleat thickness unknown", "cleats.thickness", "no stock is 1", cleats__thickness="1"),
    _bad("thickness missing", "sheet[2].thickness", "is missing", sheet__1__thickness=GONE),
    _bad("part thickness missing", "part[1].thickness", "is missing", part__0__thickness=GONE),
    _bad("part thickness unknown", "part[1].thickness", "1/2, 3/4 (measured 23/32) in", part__0__thickness="5/8"),
    _bad("part thickness too far off", "part[1].thickness", "no stock is 0.7 in thick", part__0__thickness="0.7"),
    _bad("trim eats the sheet", "sheet[1].width", "nothing is left", sheet__0__edge_trim="24"),
    _bad("trim eats by the saw's", "sheet[2].width", "nothing is left", sheet__1__width="1/4"),
    _bad("trim negative", "saw.edge_trim", "is negative", saw__edge_trim=-1),
    _bad("step zero", "project.fence_step", "greater than 0", project__fence_step=0),
    _bad("step negative", "project.fence_step", "is negative", project__fence_step="-1/32"),
    _bad("capacity zero", "saw.rip_capacity", "greater than 0", saw__rip_capacity=0),
    _bad("price negative", "sheet[1].price", "0 or more", sheet__0__price=-1),
    _bad("price with sign", "sheet[1].price", "without a currency sign", sheet__0__price="$60"),
    _bad("price yes", "sheet[1].price", "true is not a number", sheet__0__price=True),
    _bad("price infinite", "sheet[1].price", "inf", sheet__0__price=float("inf")),
    _bad("price in mills", "sheet[1].price", "up to 4 decimals", sheet__0__price=1.00001),
    _bad("price beyond all", "sheet[1].price", "price of 0 or more", sheet__0__price=10**12),
    _bad("quantity zero", "part[1].quantity", "from 1 to 10,000", part__0__quantity=0),
    _bad("quantity negative", "part[1].quantity", "from 1 to 10,000", part__0__quantity=-3),
    _bad("quantity too many", "part[1].quantity", "from 1 to 10,000", part__0__quantity=10_001),
    _bad("quantity a float", "part[1].quantity", "3.0 is not a whole number", part__0__quantity=3.0),
    _bad("quantity a text", "part[1].quantity", "'3' is not a whole number", part__0__quantity="3"),
    _bad("quantity yes", "part[1].quantity", "true is not a whole number", part__0__quantity=True),
    _bad("available negative", "sheet[1].available", "from 0 to 10,000", sheet__0__available=-1),
    _bad("stages zero", "saw.max_stages", "from 1", saw__max_stages=0),
    _bad("first cut diagonal", "saw.first_cut", '"rip", "crosscut" or "any"', saw__first_cut="diagonal"),
    _bad("blade leans up", "saw.blade_leans", "'up' is none of the choices", saw__blade_leans="up"),
    _bad("breakdown saw a text", "saw.breakdown_saw", "true or false", saw__breakdown_saw="yes"),
    _bad("breakdown saw a number", "saw.breakdown_saw", "true or false", saw__breakdown_saw=1),
    _bad("grain of a part yes", "part[1].grain", '"length", "width" or "any"', part__0__grain=True),
    _bad("grain of a sheet a word", "sheet[1].grain", "true or false", sheet__0__grain="length"),
    _bad("kind of cleat", "cleat[1].kind", '"wall" or "holder"', cleat__0__kind="ceiling"),
    _bad("unit furlong", "project.unit", '"in" or "mm"', project__unit="furlong"),
    _bad("unit a list", "project.unit", '"in" or "mm"', project__unit=["in"]),
    _bad("currency long", "project.currency", "short name", project__currency="pieces of eight"),
]

NAMES = [
    _bad("name empty", "part[1].name", "is empty", part__0__name=""),
    _bad("name blank", "part[1].name", "is empty", part__0__name=" \u00a0 "),
    _bad("name a number", "part[1].name", "3 is not a text", part__0__name=3),
    _bad("name of two lines", "part[1].name", "line break", part__0__name="shelf\nlow"),
    _bad("name with a line separator", "part[1].name", "line break", part__0__name="shelf\u2028low"),
    _bad("name with a zero byte", "part[1].name", "control character", part__0__name="shelf\0"),
    _bad("name with an escape", "part[1].name", "control character", part__0__name="\x1b[31mshelf"),
    _bad("name of 500 characters", "part[1].name", "has 500 characters", part__0__name="x" * 500),
    _bad("name turned round", "part[1].name", "writing direction", part__0__name="shelf \u202efles"),
    _bad("name isolated", "part[1].name", "writing direction", part__0__name="\u2066shelf\u2069"),
    _bad("name half a character", "part[1].name", "no character", part__0__name="shelf \ud800"),
    _bad("project name of two lines", "project.name", "line break", project__name="a\r\nb"),
    _bad("sheets of one name", "sheet[2].name", "the same as that of sheet[1]", sheet__1__name="ply"),
    _bad("parts of one name", "part[2].name", "the same as that of part[1]", part__1__name="shelf"),
    _bad("part and cleat of one name", "cleat[1].name", "the same as that of part[1]", cleat__0__name="shelf"),
    _bad(
        "sheet and offcut of one name",
        "offcut[1].name",
        "the same as that of sheet[1]",
        offcut=[{"name": "ply", "length": 20, "width": 20, "thickness": "23/32"}],
    ),
]

KEYS = [
    _bad("key misspelt", "part[1].lenght", "did you mean length?", part__0__lenght="24"),
    _bad("key in capitals", "saw.Kerf", "did you mean kerf?", saw__Kerf="1/8"),
    _bad("key of another table", "project.kerf", "it belongs in [saw]", project__kerf="1/8"),
    _bad("key of nowhere", "saw.colour", "is not a known key", saw__colour="red"),
    _bad("key odd", "saw.'a b'", "is not a known key", **{"saw__a b": 1}),
    _bad("key of a plural", "sheets", "did you mean sheet?", sheets=[]),
    _bad("key at the top", "kerf", "it belongs in [saw]", kerf="1/8"),
    Row(
        "price of an offcut",
        changed(offcut=[{"name": "rest", "length": 20, "width": 20, "thickness": "1/2", "price": 3}]),
        (("offcut[1].price", "is not a known key"),),
    ),
    _bad("trim of an offcut", "offcut[1].edge_trim", "is not a known key",
         offcut=[{"name": "rest", "length": 20, "width": 20, "thickness": "1/2", "edge_trim": 0}]),
]  # fmt: skip

SHAPES = [
    Row(
        "empty project",
        {},
        (
            ("project.name", "is missing"),
            ("saw.kerf", "is missing"),
            ("sheet", "no stock to cut from"),
            ("part", "nothing to make"),
        ),
    ),
    _bad("no stock", "sheet", "at least one [[sheet]]", sheet=[]),
    Row("nothing to make", changed(part=GONE, cleat=GONE), (("part", "nothing to make"),)),
    _bad("saw a text", "saw", "is 'sharp', not a table", saw="sharp"),
    _bad("saw a list", "saw", "is a list, not a table", saw=[{"kerf": "1/8"}]),
    _bad("project a number", "project", "is 7, not a table", project=7),
    _bad("cleats nothing", "cleats", "is null, not a table", cleats=None),
    _bad("sheet one table", "sheet", "[[sheet]] in TOML", sheet=BASE["sheet"][0]),
    _bad("sheet a yes", "sheet", "is true, not a list", sheet=True),
    _bad("part a text", "part[2]", "is 'tray', not a table", part__1="tray"),
    _bad("cleat a list", "cleat[1]", "is a list, not a table", cleat__0=[]),
    _bad("a wall", "wall", "cannot be planned by this version yet", wall={"width": 144, "height": 84}),
    _bad("a holder", "holder", "cannot be planned by this version yet", holder=[{"name": "pump shelf"}]),
    Row(
        "only a wall and a holder",
        changed(part=GONE, cleat=GONE, wall={}, holder=[]),
        (("wall", "cannot be planned"), ("holder", "cannot be planned")),
    ),
    _bad("too many entries", "part", "at most 2,000", part=[{}] * 2_001),
    Row(
        "many slips at once",
        changed(
            saw__kerf="-1/8",
            sheet__1__name="ply",
            part__0__thickness="5/8",
            part__1__lenght="9",
            part__1__quantity=0,
            cleats__bevel=90,
            wall={},
        ),
        (
            ("wall", "cannot be planned"),
            ("saw.kerf", "is negative"),
            ("cleats.bevel", "at most 60"),
            ("part[2].lenght", "did you mean length?"),
            ("part[2].quantity", "from 1"),
            ("sheet[2].name", "the same"),
            ("part[1].thickness", "no stock is 5/8"),
        ),
    ),
]

TEXTS = [
    _text("toml broken", 'project = "x\n', "line 1, column 13: not TOML"),
    _text("toml without a value", "[saw]\nkerf =\n", "line 2, column 7: not TOML"),
    _text("toml bare fraction", "[saw]\nkerf = 1/8\n", "line 2, column 9: not TOML"),
    _text("toml key twice", "[saw]\nkerf = 1\nkerf = 2\n", "line 3, column 9: not TOML: a key is given twice"),
    _text("toml table twice", "[saw]\n[saw]\n", "cannot declare saw twice"),
    _text("toml a picture", "\x89PNG\n\x1a\n", "not TOML"),
    _text("toml nested", "a = " + "[" * 20_000 + "]" * 20_000, "nested too deeply"),
    _text("toml number without end", "a = " + "9" * 10_000, "thousands of digits"),
    _text("toml of 10 MB", "# nothing\n" * 1_000_000, "too large"),
    _text("json broken", '{"saw": {"kerf": }}', "line 1, column 18: not JSON", "json"),
    _text("json nothing", "", "not JSON", "json"),
    _text("json key twice", '{"saw": {"kerf": 1, "kerf": 2}}', "the key 'kerf' is given twice", "json"),
    _text("json nested", "[" * 200_000 + "]" * 200_000, "nested too deeply", "json"),
    _text("json number without end", '{"saw": ' + "9" * 10_000 + "}", "thousands of digits", "json"),
    _text("json a list", "[]", "not a list", "json"),
    _text("json a text", '"project"', "not 'project'", "json"),
    _text("json null", "null", "not null", "json"),
]

MALFORMED: list[Row] = [*LENGTHS, *VALUES, *NAMES, *KEYS, *SHAPES, *TEXTS]
"""Every row that must be refused."""

LEGAL: list[Row] = [
    Row("as it is", BASE),
    Row("name of a script", changed(part__0__name="<script>alert('shelf')</script> & \"more\"")),
    Row("name in Arabic", changed(part__0__name="رف الأدوات", project__name="ورشة الدراجات")),
    Row("name in Hebrew and digits", changed(part__0__name="מדף 12")),
    Row("name of emoji", changed(part__0__name="🛠️ shelf 👩🏽‍🔧")),
    Row("name of 120 characters", changed(part__0__name="x" * 120)),
    Row("name of a formula", changed(part__0__name="=1+1")),
    Row("name of a path", changed(part__0__name="../../shelf\\x")),
    Row("names alike in other kinds", changed(part__0__name="ply")),
    Row("kerf zero", changed(saw__kerf=0, saw__edge_trim=0)),
    Row("bevel 60", changed(cleats__bevel=60, cleats__thickness="1/2")),
    Row("bevel of a fraction of a degree", changed(cleats__bevel=22.5)),
    Row("price zero", changed(sheet__0__price=0)),
    Row("none on sale", changed(sheet__0__available=0)),
    Row("thickness within a sixty-fourth", changed(part__0__thickness="47/64")),
    Row("millimetres in an inch document", changed(part__0__length="609.6 mm", part__0__width="22.9 cm")),
    Row("feet and inches", changed(part__0__length="2' 1 1/2\"", part__0__width="8 ¾ in")),
    Row("a part longer than any stock", changed(part__0__length="200")),
    Row("cleats left out", changed(cleats=GONE)),
    Row("empty lists", changed(board=[], offcut=[])),
]
"""Rows that look odd and are legal."""
