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

WALL: dict[str, Any] = {"width": "96", "height": "60"}
HOLDER: dict[str, Any] = {"name": "pump shelf", "style": "shelf", "width": "20", "height": "10", "depth": "8"}
"""A wall and a holder without a fault."""

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
    _bad("nothing fits", "project.carry_length", "greater than 0", project__carry_length=0),
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
    _bad("wall a number", "wall", "is 7, not a table", wall=7),
    _bad("holder one table", "holder", "[[holder]] in TOML", holder={"name": "pump shelf"}),
    Row(
        "only a wall and a holder",
        changed(part=GONE, cleat=GONE, wall={}, holder=[{}]),
        tuple(
            (path, "is missing")
            for path in ("wall.width", "wall.height", *(f"holder[1].{key}" for key in HOLDER if key != "depth"))
        ),
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
            ("saw.kerf", "is negative"),
            ("cleats.bevel", "at most 60"),
            ("wall.width", "is missing"),
            ("wall.height", "is missing"),
            ("part[2].lenght", "did you mean length?"),
            ("part[2].quantity", "from 1"),
            ("sheet[2].name", "the same"),
            ("part[1].thickness", "no stock is 5/8"),
        ),
    ),
]

OUTLET = {"name": "outlet", "x": 40, "y": 12, "width": 5, "height": 7}
WALLS = [
    *(
        _bad(f"wall: {name}", f"wall.{path}", words, wall=WALL | keys)
        for name, path, words, keys in [
            ("width zero", "width", "greater than 0", {"width": 0}),
            ("floor gap negative", "floor_gap", "is negative", {"floor_gap": -1}),
            ("gap zero", "gap", "greater than 0", {"gap": 0}),
            ("overhang in words", "overhang", "not a length", {"overhang": "four"}),
            ("start in the middle", "start", '"top" or "bottom"', {"start": "middle"}),
            ("key misspelt", "sheating", "did you mean sheathing?", {"sheating": []}),
            ("key of a holder", "load", "it belongs in [[holder]]", {"load": 3}),
            ("gap and rows", "gap", "and so are rows", {"gap": 3, "rows": [6]}),
            ("rows a length", "rows", "3 is not a list", {"rows": 3}),
            ("rows empty", "rows", "is empty", {"rows": []}),
            ("a row in words", "rows[2]", "not a length", {"rows": [6, "high"]}),
            ("rows that overlap", "rows[3]", "overlaps rows[1]", {"rows": [6, 20, "8 1/2"]}),
            ("row above the wall", "rows[1]", "at most 57 in", {"rows": ["57 1/8"]}),
            ("rows without end", "rows", "at most 200 entries", {"rows": [0] * 300}),
            ("lower than a cleat", "height", "lower than a cleat", {"height": 2}),
            ("rows by the thousand", "height", "6,500 rows", {"height": 39_000}),
            ("sheathing a text", "sheathing", "'drywall' is not a list", {"sheathing": "drywall"}),
            ("sheathing a list of texts", "sheathing[1]", "a table of name, thickness", {"sheathing": ["drywall"]}),
            ("sheathing without thickness", "sheathing[1].thickness", "is missing", {"sheathing": [{"name": "a"}]}),
            ("studs a list", "studs", "is a list, not a table", {"studs": ["8", "24"]}),
            ("stud key misspelt", "studs.spaceing", "did you mean spacing?", {"studs": {"spaceing": 16}}),
            ("stud spacing zero", "studs.spacing", "greater than 0", {"studs": {"spacing": 0}}),
            ("stud spacing dense", "studs.spacing", "less than a stud is wide", {"studs": {"spacing": 1}}),
            ("studs by both", "studs.first", "and so are positions", {"studs": {"first": 8, "positions": [8]}}),
            ("studs nowhere", "studs.positions", "is empty", {"studs": {"positions": []}}),
            ("stud outside", "studs.positions[2]", "lies outside", {"studs": {"positions": [8, 97]}}),
            ("studs too close", "studs.positions[2]", "overlaps positions[1]", {"studs": {"positions": [8, 9]}}),
            ("first stud outside", "studs.first", "lies outside", {"studs": {"first": 97}}),
            ("studs by the thousand", "width", "6,250 studs", {"width": 25_000, "studs": {"spacing": 4}}),
            ("studs of balsa", "studs.species", "hem-fir", {"studs": {"species": "balsa"}}),
            ("studs of steel", "studs.species", "do not hold in metal studs", {"studs": {"species": "steel"}}),
            ("a brick wall", "studs.species", "anchors with a tested rating", {"studs": {"species": "Masonry"}}),
            ("studs of number 4", "studs.species", "4 is not a text", {"studs": {"species": 4}}),
            ("screw of no gauge", "screws.gauge", "6, 7, 8", {"screws": {"gauge": 11}}),
            ("screws by the dozen", "screws.per_stud", "from 1 to 2", {"screws": {"per_stud": 12}}),
            ("screws yes", "screws.per_stud", "true is not a whole number", {"screws": {"per_stud": True}}),
            ("nails", "screws.kind", '"wood screw"', {"screws": {"kind": "nail"}}),
            ("keep-out without a size", "keepout[1].height", "is missing", {"keepout": [
                {key: value for key, value in OUTLET.items() if key != "height"}]}),
            ("keep-outs of one name", "keepout[2].name", "same as that of keepout[1]", {"keepout": [OUTLET] * 2}),
            ("keep-out right of the wall", "keepout[1].x", "lies outside", {"keepout": [OUTLET | {"x": 96}]}),
            ("keep-out above the wall", "keepout[1].y", "lies outside", {"keepout": [OUTLET | {"y": 60}]}),
            ("keep-out clearance", "keepout[1].clearance", "negative", {"keepout": [OUTLET | {"clearance": -1}]}),
        ]
    ),
    *(
        _bad(f"holder: {name}", f"holder[1].{path}", words, wall=WALL, holder=[HOLDER | keys])
        for name, path, words, keys in [
            ("style of a drawer", "style", '"back", "shelf"', {"style": "drawer"}),
            ("width zero", "width", "greater than 0", {"width": 0}),
            ("load negative", "load", "a weight of 0 or more", {"load": -1}),
            ("load a text", "load", "a weight of 0 or more", {"load": "30 lb"}),
            ("zone under the roof", "zone", '"low", "reach" or "high"', {"zone": "roof"}),
            ("thickness without stock", "thickness", "no stock is 5/8", {"thickness": "5/8"}),
            ("lower than its cleat", "height", "holder_height", {"height": 2}),
            ("no deeper than its back", "depth", "back is thick", {"depth": "23/32"}),
            ("box of no room", "depth", "back and front", {"style": "box", "depth": "1 7/16"}),
            ("box narrower than its ends", "width", "two sides", {"style": "box", "width": "1 7/16"}),
            ("cells in a shelf", "cells", "only a bin has it", {"cells": 3}),
            ("cells without end", "cells", "from 1 to 100", {"style": "bin", "cells": 101}),
            ("gussets a number", "gussets", "true or false", {"gussets": 1}),
            ("gussets under a box", "gussets", "only a shelf or a rack has it", {"style": "box", "gussets": False}),
            ("depth of a board", "depth", "style back", {"style": "back"}),
            ("rack without holes", "holes", "are missing", {"style": "rack"}),
            ("hole key misspelt", "holes.diamter", "did you mean diameter?", {
                "style": "rack", "holes": {"diamter": 1, "diameter": 1, "count": 4}}),
            ("slots without count", "slots.count", "is missing", {"style": "rack", "slots": {"width": 1}}),
            ("holes and slots", "holes", "so are slots", {
                "style": "rack", "holes": {"diameter": 1, "count": 4}, "slots": {"width": 1, "count": 4}}),
        ]
    ),
    _bad("holders of one name", "holder[2].name", "same as that of holder[1]", holder=[HOLDER, HOLDER]),
    _bad("part of a holder's name", "part[1].name", "a holder's parts bear",
         part__0__name="pump shelf: back", holder=[HOLDER]),
    _bad("cleat of a row's name", "cleat[1].name", "piece of the wall", cleat__0__name="row 2 a", wall=WALL),
    Row("cleats of no stock for a wall", changed(cleat=GONE, cleats__thickness="1", wall=WALL),
        (("cleats.thickness", "no stock is 1 in thick"),)),
]  # fmt: skip

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

MALFORMED: list[Row] = [*LENGTHS, *VALUES, *NAMES, *KEYS, *SHAPES, *WALLS, *TEXTS]
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
    Row("a wall and nothing else to make", changed(part=GONE, cleat=GONE, wall=WALL)),
    Row("a holder and no wall", changed(part=GONE, cleat=GONE, holder=[HOLDER])),
    Row(
        "a wall with every key",
        changed(
            wall=WALL
            | {
                "floor_gap": 6,
                "rows": ["3 1/2", 12],
                "start": "bottom",
                "overhang": 2,
                "embedment": "1 1/2",
                "sheathing": [{"name": "drywall", "thickness": "1/2"}, {"name": "drywall", "thickness": "5/8"}],
                "studs": {"positions": [40, "8", "25 1/4"], "stud_width": "1 1/2", "species": "hem-fir"},
                "keepout": [OUTLET | {"clearance": 2}],
                "screws": {"gauge": 10, "length": 3, "per_stud": 2, "kind": "deck screw"},
            },
            holder=[
                HOLDER | {"load": 30.5, "thickness": "1/2", "quantity": 2, "zone": "low", "gussets": False},
                HOLDER | {"name": "awls", "style": "rack", "holes": {"diameter": "3/8", "count": 9, "rows": 3}},
                HOLDER | {"name": "saws", "style": "rack", "slots": {"width": "1/4", "length": 3, "count": 9}},
                HOLDER | {"name": "bolts", "style": "bin", "cells": 4, "screws": {"gauge": 8, "length": "1 1/4"}},
            ],
        ),
    ),
    Row("a vehicle", changed(project__carry_length="8 ft", project__carry_width="45")),
    Row("empty lists", changed(board=[], offcut=[])),
]
"""Rows that look odd and are legal."""
