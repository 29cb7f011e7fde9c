"""The plan file: what to buy, how to cut it, in which order; as data, as JSON and back.

Numbers are decimals in the document's unit, exact to 1e-6 and written to nine places. Keys that are not known
here are kept and written again, for other programs may add theirs. Trees are built piece by piece from the
leaves up, never by recursion, so that a sheet ripped into a thousand strips can be read and written.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Annotated, Any, Final, Literal

from pydantic import Field, ValidationError

from nesting.errors import BadInput, Fault
from nesting.json_text import NotJson, read_json, write_json
from nesting.layout import CutKind, Layout, Node, Role
from nesting.lengths import Unit, said
from nesting.plan_fields import Count, Document, Money, Number, Size, listed
from nesting.plan_load import LoadDocument
from nesting.plan_replaces import ReplacesDocument
from nesting.plan_wall import WallDocument
from nesting.project.faults import Place, fault
from nesting.steps import Caution, Setups, Station, Step

SCHEMA: Final = "cleatwright/plan/1"
LARGEST_FILE: Final = 64_000_000
DEEPEST: Final = 5_000
"""Objects and arrays in one another; a node of a cut tree takes two."""
MOST_FAULTS: Final = 200
Matters = Literal["part", "offcut", "waste"]


class BuyLine(Document):
    """One stock of the buying list."""

    stock: str = Field(description="Name of the stock in the project.")
    count: Count = Field(description="How many pieces of it the plan takes.")
    unit_price: Money = Field(description="Price of one; 0 for what is already owned.")
    cost: Money = Field(description="Price of all of them.")


class NodeDocument(Document):
    """A rectangle of a layout; x along the stock's length, y across it, from one corner of the stock."""

    id: str = Field(description="The layout's id at the root, elsewhere the layout's id, a dot and more.")
    x: Number = Field(description="Low edge along the stock's length.")
    y: Number = Field(description="Low edge across it.")
    length: Size = Field(description="Size along x.")
    width: Size = Field(description="Size along y; at a bevelled piece its tall face.")
    role: Role = Field(
        description="cut: divided further; part; offcut: worth keeping; waste: the rest, trims included."
    )
    cut: CutKind | None = Field(default=None, description="Of a cut: rip (parallel to x) or crosscut (parallel to y).")
    bevel: Annotated[float, Field(ge=0, lt=90)] = Field(default=0.0, description="Of a cut: degrees from square.")
    pieces: tuple[NodeDocument, ...] = listed(
        "Of a cut: its pieces, low side first; a single one where the blade eats the rest.", default=()
    )
    part: str | None = Field(default=None, description="Of a part or cleat: its name.")
    turned: bool = Field(default=False, description="Of a part: true where its length lies along y.")

    def walk(self) -> Iterator[NodeDocument]:
        """Yield this rectangle and all below it, parents first, low side first."""
        todo = [self]
        while todo:
            node = todo.pop()
            yield node
            todo.extend(reversed(node.pieces))


class LayoutDocument(Document):
    """One stock piece and how it is cut up."""

    id: str = Field(description="Id, also that of the root of the tree.")
    stock: str = Field(description="Name of the stock in the project.")
    length: Size = Field(description="Length of the whole stock piece, along x.")
    width: Size = Field(description="Width of the whole stock piece, along y.")
    thickness: Size = Field(description="Thickness as measured.")
    tree: NodeDocument = Field(description="The whole piece and all its cuts.")


class MadePart(Document):
    """What was asked of one part or cleat, and how many the layouts give."""

    name: str = Field(description="Name of the part or cleat in the project.")
    length: Size = Field(description="Length as asked.")
    width: Size = Field(description="Width as asked; of a cleat its height on the tall face.")
    thickness: Size = Field(description="Thickness as asked.")
    asked: Count = Field(description="How many are wanted.")
    made: Count = Field(description="How many the layouts hold; fewer than asked only for a filler.")


class StepDocument(Document):
    """One pass of a saw."""

    n: Annotated[int, Field(ge=1)] = Field(description="Number in working order, from 1.")
    layout: str = Field(description="Id of the layout.")
    piece: str = Field(description="Id of the rectangle that is cut.")
    station: Station = Field(description="Where it is cut.")
    cut: CutKind = Field(description="rip: parallel to x; crosscut: parallel to y.")
    bevel: Annotated[float, Field(ge=0, lt=90)] = Field(description="Degrees from square.")
    setting: Number = Field(description="From the reference edge to the near side of the kerf, at the table.")
    against: Literal["low", "high"] = Field(description="The reference edge: the piece's low or high edge.")
    leans: Literal["away", "toward"] | None = Field(
        default=None, description="Whether the blade leans away from the fence or toward it; null at a square cut."
    )
    makes: tuple[str, ...] = listed("Ids of the pieces it makes, low side first.")
    setup: Annotated[int, Field(ge=1)] = Field(description="Number of the setting; steps that share one have the same.")
    matters: tuple[Matters, ...] = listed(
        "For each piece of makes, what its size across the cut goes into: a part or an offcut, so that it has to be "
        "exact, or waste alone, so that an error does no harm. The first of them is the measured one where against is "
        "low, else the last; the other one takes what is left (an addition of ours).",
        default=(),
    )


class SetupsDocument(Document):
    """How many settings the steps need."""

    fence: Count = Field(description="Settings of the rip fence.")
    stop: Count = Field(description="Settings of the sled's stop.")
    guide: Count = Field(description="Positions of the guided saw, one a cut.")
    tilt: Count = Field(description="Changes of the blade's tilt.")
    total: Count = Field(description="Fence, stop and guide together.")
    bound: Count = Field(description="No order of these cuts under the rules in force needs fewer than this in total.")
    proven: bool = Field(description="Whether the total is known to be the least.")


class DriftDocument(Document):
    """How far off kerf and thickness may be on one layout before a part comes out short."""

    layout: str = Field(description="Id of the layout.")
    kerf: Annotated[float, Field(ge=0)] | None = Field(
        description="How much wider than stated the blade may cut; null: no part depends on it."
    )
    kerf_piece: str | None = Field(description="Id of the piece that comes out short first where it cuts wider.")
    thickness: Annotated[float, Field(ge=0)] | None = Field(
        description="How much thinner than stated the stock may be; null: no part depends on it."
    )
    thickness_piece: str | None = Field(description="Id of the cleat that comes out short first where it is thinner.")
    text: str = Field(description="Both in a sentence.")


class WorkDocument(Document):
    """What to know of the working order as a whole."""

    rules: tuple[str, ...] = listed("The rules in force, under which the bound on the settings holds, as sentences.")
    group: Annotated[int, Field(ge=1)] | None = Field(
        default=None, description="How many stock pieces are worked at a time; null: all together."
    )
    sheet_by_sheet: Count | None = Field(
        description="Settings of working the layouts as drawn one after another, each to its end; null: no saw at hand "
        "could do that."
    )
    among: Annotated[int, Field(ge=1)] = Field(
        default=1, description="How many sets of layouts of equal cost there were to choose the fewest settings from."
    )
    recurring: tuple[str, ...] = listed("For each setting that is made more than once, why, as a sentence.")
    drift: tuple[DriftDocument, ...] = listed("For each layout, how much kerf and thickness may drift.")


class WarningDocument(Document):
    """What the person at the saw, or in the shop, must know."""

    code: str = Field(description="Short and stable, for programs.")
    text: str = Field(description="A whole sentence, for people.")
    where: str = Field(default="", description="Id of a layout or piece, step as n, or name of a part or stock.")


class Plan(Document):
    """A whole plan file."""

    schema_name: Literal["cleatwright/plan/1"] = Field(
        default=SCHEMA, alias="schema", description="Name and version of this format."
    )
    unit: Unit = Field(description="Unit of every length: in or mm.")
    project: str = Field(description="Name of the project.")
    cost: Money = Field(description="What the plan buys costs, in the project's currency.")
    cost_bound: Money = Field(description="No plan for the same job can cost less than this.")
    proven: bool = Field(description="Whether no plan can cost less.")
    bound_kind: str | None = Field(default=None, description="Which method gave the bound (an addition of ours).")
    bound_text: str | None = Field(
        default=None, description="One sentence that makes the bound believable (an addition of ours)."
    )
    seed: int | None = Field(default=None, description="Seed of the search (an addition of ours).")
    seconds: Annotated[float, Field(ge=0)] | None = Field(
        default=None, description="Seconds the search was allowed (an addition of ours)."
    )
    buy: tuple[BuyLine, ...] = listed("The buying list.")
    layouts: tuple[LayoutDocument, ...] = listed("One for each stock piece used.")
    parts: tuple[MadePart, ...] = listed("All that was asked for.")
    steps: tuple[StepDocument, ...] = listed("The passes of the saws, in working order.")
    setups: SetupsDocument = Field(description="The settings these steps need.")
    warnings: tuple[WarningDocument, ...] = listed("What to look out for.", default=())
    work: WorkDocument | None = Field(
        default=None, description="What to know of the working order as a whole (an addition of ours)."
    )
    wall: WallDocument | None = Field(
        default=None, description="Of a job with a wall or holders: what hangs where, and what it needs."
    )
    load: LoadDocument | None = Field(
        default=None, description="Of a job with a wall or holders: what they carry (an addition of ours)."
    )
    replaces: ReplacesDocument | None = Field(
        default=None,
        description="Of a plan made anew after a piece was lost: what became of the plan before it (an addition of "
        "ours).",
    )
    job: Mapping[str, Any] | None = Field(
        default=None,
        strict=False,
        description="The project as it was planned, with the keys of a project file, so that the plan can be "
        "checked, drawn and planned anew by itself (an addition of ours).",
    )


# -- writing


def number(value: Fraction) -> float:
    """Return an exact length or price as the decimal that the plan file holds, to nine places.

    >>> number(Fraction(29, 2)), number(Fraction(1, 3))
    (14.5, 0.333333333)
    """
    return round(float(value), 9)


def node_document(node: Node) -> NodeDocument:
    """Return a cut tree as the plan file holds it."""
    order = [node]
    for parent in order:  # parents before their pieces; grows as it goes
        order.extend(parent.pieces)
    made: dict[int, NodeDocument] = {}
    for one in reversed(order):
        made[id(one)] = NodeDocument(
            id=one.id,
            x=number(one.x),
            y=number(one.y),
            length=number(one.length),
            width=number(one.width),
            role=one.role,
            cut=one.cut,
            bevel=number(one.bevel),
            pieces=tuple(made[id(piece)] for piece in one.pieces),
            part=one.part,
            turned=one.turned,
        )
    return made[id(node)]


def layout_document(layout: Layout) -> LayoutDocument:
    """Return a layout as the plan file holds it."""
    return LayoutDocument(
        id=layout.id,
        stock=layout.stock,
        length=number(layout.length),
        width=number(layout.width),
        thickness=number(layout.thickness),
        tree=node_document(layout.tree),
    )


def step_document(step: Step, matters: tuple[Matters, ...] = ()) -> StepDocument:
    """Return a step as the plan file holds it; it has no lean where it has no bevel.

    ``matters``: for each piece it makes, what its size goes into.
    """
    return StepDocument(
        n=step.n,
        layout=step.layout,
        piece=step.piece,
        station=step.station,
        cut=step.cut,
        bevel=number(step.bevel),
        setting=number(step.setting),
        against=step.against,
        leans=step.leans if step.bevel else None,
        makes=step.makes,
        setup=step.setup,
        matters=matters,
    )


def setups_document(setups: Setups) -> SetupsDocument:
    """Return the count of settings as the plan file holds it."""
    return SetupsDocument(
        fence=setups.fence,
        stop=setups.stop,
        guide=setups.guide,
        tilt=setups.tilt,
        total=setups.total,
        bound=setups.bound,
        proven=setups.proven,
    )


def warning_document(caution: Caution) -> WarningDocument:
    """Return a warning as the plan file holds it."""
    return WarningDocument(code=caution.code, text=caution.text, where=caution.where)


def plan_to_json(plan: Plan) -> str:
    """Return the text of a plan file: stable, readable, ending with a newline."""
    top = {field.alias or name: getattr(plan, name) for name, field in Plan.model_fields.items()}
    for key in ("bound_kind", "bound_text", "seed", "seconds", "work", "wall", "load", "replaces", "job"):
        if top[key] is None:
            del top[key]
    for key in ("buy", "parts", "steps", "warnings"):
        top[key] = [_flat(row) for row in top[key]]
    for step in top["steps"]:
        if not step["matters"]:
            del step["matters"]
    if plan.work is not None:
        top["work"] = _flat(plan.work) | {"drift": [_flat(row) for row in plan.work.drift]}
    if plan.wall is not None:
        top["wall"] = plan.wall.model_dump(exclude_none=True, by_alias=True)
    if plan.load is not None:
        top["load"] = plan.load.model_dump(exclude_none=True)
    if plan.replaces is not None:
        top["replaces"] = plan.replaces.model_dump(mode="json")
    top["setups"] = _flat(plan.setups)
    top["layouts"] = [_flat(layout) | {"tree": _plain_tree(layout.tree)} for layout in plan.layouts]
    return write_json(top | (plan.model_extra or {}))


def _flat(row: Document) -> dict[str, Any]:
    return {name: getattr(row, name) for name in type(row).model_fields} | (row.model_extra or {})


def _plain_tree(tree: NodeDocument) -> dict[str, Any]:
    plain: dict[int, dict[str, Any]] = {}
    for node in reversed(list(tree.walk())):
        keys = _flat(node)
        pieces = [plain.pop(id(piece)) for piece in node.pieces]
        if node.role != "cut" and node.cut is None and not node.bevel and not pieces:
            del keys["cut"], keys["bevel"], keys["pieces"]
        else:
            keys["pieces"] = pieces
        if node.part is None:
            del keys["part"]
        if not node.turned:
            del keys["turned"]
        plain[id(node)] = keys
    return plain[id(tree)]


# -- reading


def plan_from_json(text: str) -> Plan:
    """Return the plan of a plan file's text.

    Raises :class:`~nesting.errors.BadInput` with every fault and its place: text that is no JSON or too large,
    missing keys, values of a wrong type or out of range. Whether the plan is *sound* is for
    :func:`nesting.check.check_plan` to say.
    """
    if len(text) > LARGEST_FILE:
        raise BadInput([fault((), f"the plan is larger than {LARGEST_FILE:,} characters")])
    try:
        raw = read_json(text, DEEPEST)
    except NotJson as error:
        raise BadInput([fault((), f"the plan is not JSON: {error}")]) from error
    if not isinstance(raw, dict):
        raise BadInput([fault((), "the plan is not a JSON object", "an object with the keys of a plan file")])
    faults: list[Fault] = []
    if "schema" not in raw:
        faults.append(fault(("schema",), "is missing", f'"{SCHEMA}"'))
    layouts = raw.get("layouts")
    if isinstance(layouts, list):
        for place, layout in enumerate(layouts):
            if isinstance(layout, dict) and "tree" in layout:
                layout["tree"] = _tree(layout["tree"], ("layouts", place, "tree"), faults)
    plan = None
    try:
        plan = Plan.model_validate(raw)
    except ValidationError as error:
        faults += document_faults(error, ())
    if faults or plan is None:
        left_out = len(faults) - MOST_FAULTS
        more = [fault((), f"and {left_out} more faults")] if left_out > 0 else []
        raise BadInput([*faults[:MOST_FAULTS], *more])
    return plan


_LOST: Final = NodeDocument(id="", x=0, y=0, length=1, width=1, role="waste")
"""Stands for a rectangle that could not be read, while its faults are told."""


def _tree(raw: object, top: Place, faults: list[Fault]) -> NodeDocument:
    """Build a tree from the leaves up; adds what is wrong to ``faults``."""
    order: list[tuple[object, int, int]] = [(raw, -1, 0)]  # what was read, its parent in this list, its rank there
    for place, (one, _, _) in enumerate(order):
        pieces = one.get("pieces") if isinstance(one, dict) else None
        if isinstance(pieces, list):
            order.extend((piece, place, rank) for rank, piece in enumerate(pieces))
    below: dict[int, list[NodeDocument]] = {}
    found: list[list[Fault]] = []
    node = _LOST
    for place in range(len(order) - 1, -1, -1):
        one, parent, _ = order[place]
        pieces_built = below.pop(place, [])[::-1]
        try:
            if isinstance(one, dict) and isinstance(one.get("pieces"), list):
                one = {**one, "pieces": pieces_built}
            node = NodeDocument.model_validate(one)
        except ValidationError as error:
            found.append(document_faults(error, top + _way(order, place)))
            node = _LOST
        below.setdefault(parent, []).append(node)
    faults.extend(entry for some in reversed(found) for entry in some)
    return node


def _way(order: list[tuple[object, int, int]], place: int) -> Place:
    way: list[str | int] = []
    while place > 0:
        _, place, rank = order[place]
        way += [rank, "pieces"]
    return tuple(reversed(way))


def document_faults(error: ValidationError, top: Place) -> list[Fault]:
    """Return what a document refused, in plain words, each at its place below ``top``."""
    return [
        fault(top + tuple(detail["loc"]), *_words(detail["type"], detail["input"], detail.get("ctx", {})))
        for detail in error.errors(include_url=False)
    ]


def _words(kind: str, value: object, context: Mapping[str, Any]) -> tuple[str, str]:
    if kind == "missing":
        return "is missing", ""
    if kind == "literal_error":
        return f"{said(value)} is none of the choices", str(context["expected"]).replace("'", '"')
    if kind == "extra_forbidden":
        return "is not a known key", ""
    kinds = {
        "string_type": "a text",
        "bool_type": "true or false",
        "int_type": "a whole number",
        "float_type": "a number",
        "finite_number": "a number",
        "tuple_type": "a list",
        "model_type": "an object",
        "mapping_type": "an object",
        "dict_type": "an object",
    }
    if kind in kinds:
        return f"{said(value)} is not {kinds[kind]}", ""
    bounds = {
        "greater_than": "more than {gt:,.15g}",
        "greater_than_equal": "{ge:,.15g} or more",
        "less_than": "less than {lt:,.15g}",
        "less_than_equal": "{le:,.15g} or less",
    }
    if kind in bounds:
        return f"{said(value)} is out of range", bounds[kind].format_map(context)
    return f"{said(value)} is not what belongs here", ""


# -- the schema


def plan_schema_text() -> str:
    """Return the JSON Schema (draft 2020-12) of the plan file, as shipped in ``nesting/plan.schema.json``."""
    schema = Plan.model_json_schema(by_alias=True)
    schema["required"] = ["schema", *schema["required"]]
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:cleatwright:schema:plan:1",
        "title": "Plan file of cleatwright",
    }
    return json.dumps(head | {key: value for key, value in schema.items() if key != "title"}, indent=1) + "\n"
