"""The form as its template shows it: every field with what was typed, what is wrong, what it is for."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from api.pages.form.layout import SECTIONS, Block, RowsOf, Section, Table
from api.pages.form.reading import FieldFault, in_words
from api.pages.form.shape import Group, Leaf, Rows, Shape, project_shape
from api.pages.form.typed import NO, YES, Typed, at, blank
from nesting.project.faults import Place

_LONGEST_PLACEHOLDER: Final = 17
_AS_YES: Final = re.compile(r"^(true|false).*", re.DOTALL)
_STYLE_PLACE: Final = "style"


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the choices of a field."""

    value: str
    words: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class FieldView:
    """A field: its name is its place in the form, with dots; its id the same with dashes."""

    name: str
    id: str
    label: str
    kind: str
    value: str
    required: bool
    placeholder: str
    hint: str
    hint_id: str
    choices: tuple[Choice, ...]
    suggested: str
    faults: tuple[str, ...]
    where: str
    wide: bool


@dataclass(frozen=True, slots=True)
class TableView:
    """A table's fields; ``open``: what is folded holds something typed, or a fault."""

    id: str
    title: str
    main: tuple[FieldView, ...]
    more: tuple[FieldView, ...]
    inner: tuple[TableView | RowsView, ...]
    folded: tuple[TableView | RowsView, ...]
    open: bool
    faults: tuple[str, ...]

    @property
    def within(self) -> str:
        """What is folded away, in words."""
        named = [field.label for field in self.more] + [block.title for block in self.folded]
        return ", ".join(name[:1].lower() + name[1:] for name in named)


@dataclass(frozen=True, slots=True)
class RowView:
    """One row of a list: its place, and how it is called aloud."""

    place: str
    id: str
    title: str
    table: TableView


@dataclass(frozen=True, slots=True)
class RowsView:
    """A list of rows, with what its fields mean once for all of them."""

    place: str
    id: str
    title: str
    one: str
    article: str
    lead: str
    rows: tuple[RowView, ...]
    hints: tuple[tuple[str, str, str], ...]
    """Id, label and words of each."""
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SectionView:
    """A part of the page."""

    id: str
    title: str
    lead: str
    blocks: tuple[TableView | RowsView, ...]


def sections(typed: Typed, faults: Sequence[FieldFault]) -> tuple[SectionView, ...]:
    """Return the whole form."""
    drawn = _Drawn(typed, faults)
    return tuple(drawn.section(section) for section in SECTIONS)


def rows_view(typed: Typed, faults: Sequence[FieldFault], place: str) -> RowsView | None:
    """Return the list of rows at a place such as ``wall.keepout`` or ``sheet``; None where there is none."""
    for section in sections(typed, faults):
        for block in all_blocks(section.blocks):
            if isinstance(block, RowsView) and block.place == place:
                return block
    return None


def all_fields(shown: Sequence[SectionView]) -> Iterator[FieldView]:
    """Yield every field of the form."""
    for section in shown:
        for block in all_blocks(section.blocks):
            if isinstance(block, TableView):
                yield from (*block.main, *block.more)


def field_id(place: Place) -> str:
    """Return the id of what stands at a place of the form.

    >>> field_id(("sheet", 1, "edge_trim"))
    'sheet-1-edge_trim'
    """
    return "-".join(map(str, place)) or "form"


def anchor(place: Place) -> str:
    """Return the id of what a fault at a place is shown by: the field itself, or the words over a table or a list.

    >>> anchor(("wall", "studs", "positions", 2)), anchor(("sheet",)), anchor(("holder", 0, "holes"))
    ('wall-studs-positions', 'rows-sheet-fault', 'holder-0-holes-fault')
    """
    shown = shown_place(place)
    shapes: Mapping[str, Shape] = project_shape()
    last: Shape | None = None
    for step in shown:
        if isinstance(step, str):
            last = shapes[step]
            shapes = {} if isinstance(last, Leaf) else last.inner
    if isinstance(last, Leaf):
        return field_id(shown)
    return (
        f"rows-{field_id(shown)}-fault"
        if isinstance(last, Rows) and shown[-1] == last.key
        else (f"{field_id(shown)}-fault")
    )


def all_blocks(blocks: Sequence[TableView | RowsView]) -> Iterator[TableView | RowsView]:
    """Yield every table and list of rows, those within others too."""
    for block in blocks:
        yield block
        if isinstance(block, RowsView):
            yield from all_blocks([row.table for row in block.rows])
        else:
            yield from all_blocks((*block.inner, *block.folded))


class _Drawn:
    """The form on its way to the template: faults are handed out to the nearest thing that is shown."""

    def __init__(self, typed: Typed, faults: Sequence[FieldFault]) -> None:
        self.typed = typed
        self.millimetres = at(typed, ("project", "unit")) == "mm"
        self.by_place: dict[Place, list[str]] = {}
        for fault in faults:
            self.by_place.setdefault(shown_place(fault.place), []).append(words_of(fault))

    def section(self, section: Section) -> SectionView:
        blocks = tuple(self.block(block, (), project_shape()) for block in section.blocks)
        return SectionView(section.id, section.title, section.lead, blocks)

    def block(self, block: Block, above: Place, shapes: Mapping[str, Shape]) -> TableView | RowsView:
        if isinstance(block, RowsOf):
            rows = shapes[block.at]
            assert isinstance(rows, Rows)  # noqa: S101  (a test lays the layout beside the model)
            return self.rows(block, (*above, block.at), rows)
        if not block.at:
            return self.table(block, above, shapes)
        group = shapes[block.at]
        assert isinstance(group, Group)  # noqa: S101  (as above)
        return self.table(block, (*above, block.at), group.inner)

    def rows(self, block: RowsOf, place: Place, shape: Rows) -> RowsView:
        typed = at(self.typed, place) or []
        made = []
        for number, row in enumerate(typed):
            here = (*place, number)
            name = row.get("name", "")
            title = f"{block.one[:1].upper()}{block.one[1:]} {number + 1}" + (f": {name[:60]}" if name.strip() else "")
            table = self.table(block.row, here, shape.inner)
            made.append(RowView(".".join(map(str, here)), field_id(here), title, table))
        hints = tuple(
            (hint_id, label, hint) for hint_id, label, hint in self._hints(block.row, shape.inner, _pattern(place), "")
        )
        article = "an" if block.one[0] in "aeiou" else "a"
        name = ".".join(map(str, place))
        faults = tuple(self.by_place.get(place, ()))
        return RowsView(name, field_id(place), block.title, block.one, article, block.lead, tuple(made), hints, faults)

    def table(self, block: Table, place: Place, shapes: Mapping[str, Shape]) -> TableView:
        main = tuple(self.field(shapes[key], place) for key in block.main)
        more = tuple(self.field(shapes[key], place) for key in block.more)
        inner = []
        for one in block.inner:
            if not self._belongs(one, place):
                continue
            if isinstance(one, Table) and not one.at:  # single fields that only some styles have
                main += tuple(self.field(shapes[key], place) for key in one.main)
            else:
                inner.append(self.block(one, place, shapes))
        folded = [self.block(one, place, shapes) for one in block.folded]
        touched = any(field.value.strip() or field.faults for field in more) or any(map(_touched, folded))
        return TableView(
            field_id(place), block.title, main, more, tuple(inner), tuple(folded), touched,
            tuple(self.by_place.get(place, ())),
        )  # fmt: skip

    def field(self, leaf: Shape, above: Place) -> FieldView:
        assert isinstance(leaf, Leaf)  # noqa: S101  (as above)
        place = (*above, leaf.key)
        value = at(self.typed, place) or ""
        usual = leaf.usual[self.millimetres]
        short = len(usual) <= _LONGEST_PLACEHOLDER
        name = ".".join(map(str, place))
        return FieldView(
            name,
            field_id(place),
            _label(leaf),
            leaf.kind,
            value,
            leaf.required,
            usual if short and leaf.kind not in ("choice", "bool") else "",
            _hint(leaf, usual),
            f"{field_id(_pattern(place))}-hint",
            _choices(leaf, value, usual),
            name.rpartition(".")[2] if leaf.suggested else "",
            tuple(self.by_place.get(place, ())),
            in_words(place),
            leaf.kind == "lengths" or leaf.key == "name" or bool(leaf.suggested),
        )

    def _belongs(self, block: Block, place: Place) -> bool:
        """Whether a part of a row is shown: the holder's style has it, or something is typed there, or at fault."""
        if not isinstance(block, Table) or not block.styles or at(self.typed, (*place, _STYLE_PLACE)) in block.styles:
            return True
        keys = [block.at] if block.at else list(block.main)
        return any(not blank(at(self.typed, (*place, key))) or (*place, key) in self.by_place for key in keys)

    def _hints(
        self, block: Table, shapes: Mapping[str, Shape], above: Place, said: str
    ) -> Iterator[tuple[str, str, str]]:
        for key in (*block.main, *block.more):
            leaf = shapes[key]
            assert isinstance(leaf, Leaf)  # noqa: S101  (as above)
            label = f"{said}: {_label(leaf).lower()}" if said else _label(leaf)
            yield f"{field_id((*above, key))}-hint", label, _hint(leaf, leaf.usual[self.millimetres])
        for one in (*block.inner, *block.folded):
            if isinstance(one, Table):
                group = shapes[one.at] if one.at else None
                inner = group.inner if isinstance(group, Group) else shapes
                yield from self._hints(one, inner, (*above, one.at) if one.at else above, one.title)


def _pattern(place: Place) -> Place:
    return tuple(step for step in place if not isinstance(step, int))


def _touched(block: TableView | RowsView) -> bool:
    if isinstance(block, RowsView):
        return bool(block.rows or block.faults)
    fields = (*block.main, *block.more)
    return bool(block.faults) or any(field.value.strip() or field.faults for field in fields)


def _label(leaf: Leaf) -> str:
    words = leaf.key.replace("_", " ")
    return words if len(words) == 1 else words[:1].upper() + words[1:]


def _hint(leaf: Leaf, usual: str) -> str:
    if leaf.kind in ("choice", "bool") or not usual or len(usual) <= _LONGEST_PLACEHOLDER:
        return leaf.about
    return f"{leaf.about} Default: {usual}."


def _choices(leaf: Leaf, value: str, usual: str) -> tuple[Choice, ...]:
    if leaf.kind == "bool":
        words: dict[str, str] = {YES: "yes", NO: "no"}
    elif leaf.kind == "choice":
        words = {choice: choice for choice in leaf.choices}
    else:
        return ()
    plain = _AS_YES.sub(lambda found: YES if found[1] == "true" else NO, usual) if leaf.kind == "bool" else usual
    first = "choose" if leaf.required else f"{plain} (default)" if len(plain) <= _LONGEST_PLACEHOLDER else "as usual"
    if value.strip() and value.strip() not in words:
        words = {value: value[:60], **words}  # as typed in a file: shown with its fault, never dropped
    chosen = value.strip() if value.strip() in words else value
    return tuple(Choice(one, said, one == chosen) for one, said in {"": first, **words}.items())


def shown_place(place: Place) -> Place:
    """Return the place of the field, list or table that shows a fault: entries of a list of lengths share one."""
    shapes: Mapping[str, Shape] = project_shape()
    for count, step in enumerate(place):
        if isinstance(step, int):
            continue
        shape = shapes.get(step)
        if shape is None:
            return place[:count]
        if isinstance(shape, Leaf):
            return place[: count + 1]
        shapes = shape.inner
    return place


def words_of(fault: FieldFault) -> str:
    """Return the words of a fault, with its number in a list of lengths."""
    last = fault.place[-1] if fault.place else ""
    shown = shown_place(fault.place)
    return f"number {last + 1} {fault.text}" if isinstance(last, int) and shown != fault.place else fault.text
