"""A layout as a workshop drawing: to scale, in black on white, to be cut from at arm's length.

The sheet's outline is the heaviest line, parts are plain, waste is hatched, leftovers worth keeping are dashed;
the slots of the cuts stay white. Line weight, hatching, dashes and words carry the meaning, never colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nesting.draw.boxes import Box, box_of
from nesting.draw.faces import HAIR, Cut, Face, Sheet, seen
from nesting.draw.ink import Arrow, Group, Hatch, Line, Mark, Page, Polyline, Rect, Text, box, to_svg
from nesting.draw.key import draw_key
from nesting.draw.labels import Label, Wording, label
from nesting.draw.leaders import Led, lead, runs
from nesting.draw.lettering import SMALLEST, advance, clean, shortened, wrapped
from nesting.draw.listing import Line as Listed
from nesting.draw.listing import listed
from nesting.draw.numbers import Margin, Numbered, draw_margin, in_margin, on_line, slash
from nesting.draw.paper import EDGE, HEADER, ROW, Arrangement, Margins, share_out
from nesting.draw.subject import Subject, subject_of
from nesting.draw.words import described, headline, legend
from nesting.plan import Plan

_BAR = 4.0
_BAR_ROOM = 9.0
_EDGE = 2.2
_FINE = 0.6
_HAIR_OF_WHITE = 0.4
_SLASHES = 36.0
_LED_ROOM = 46.0


def draw_layout(plan: Plan, layout_id: str) -> str:
    """Return the drawing of one layout of a plan as SVG, sized to print at 100 % on US Letter and on A4.

    Raises ``ValueError`` where the plan has no layout of that id.
    """
    return to_svg(layout_page(subject_of(plan, layout_id)))


def layout_page(subject: Subject) -> Page:
    """Return the drawing of one layout in our own marks, in points."""
    layout = subject.layout
    sheet = seen(layout.tree, layout.thickness, subject.rising)
    lines, line_of = listed(sheet.faces, subject.rule.finest)
    ways: tuple[Arrangement, ...] = ("below", "beside", "portrait")
    drafts = [_Draft(subject, sheet, lines, line_of, way) for way in ways]
    best = min(
        drafts, key=lambda draft: (draft.frame.height > draft.frame.paper, draft.frame.denominator / draft.favour)
    )
    return best.page()


@dataclass(frozen=True, slots=True)
class _Inset:
    """The outline of all that is not trim, in units of the stock."""

    left: float
    right: float
    top: float


class _Draft:
    """One arrangement of a drawing."""

    def __init__(
        self,
        subject: Subject,
        sheet: Sheet,
        lines: tuple[Listed, ...],
        line_of: dict[str, Listed],
        way: Arrangement,
    ) -> None:
        self.subject, self.sheet, self.lines, self.line_of = subject, sheet, lines, line_of
        self.favour = {"below": 1.0, "beside": 0.93, "portrait": 0.93}[way]
        good = [face for face in sheet.faces if face.role != "waste"] or list(sheet.faces)
        self.inset = _Inset(
            min(face.x for face in good), max(face.right for face in good), max(face.top for face in good)
        )
        numbers = subject.numbers or {cut.piece: rank for rank, cut in enumerate(sheet.cuts, 1)}
        self.numbers = numbers
        self.bevels = [cut for cut in sheet.cuts if cut.bevel]
        self.at_end = [cut for cut in self.bevels if cut.end >= self.inset.right - HAIR]
        longest = legend(subject, sheet, unnumbered=True, lettered=True, led=True, unlettered=True)
        side = Margin((), 1, 24.0)
        above = Margin((), 1, 0.0)
        led = False
        for _ in range(3):  # room for the margins depends on the scale, the scale on the margins
            self.frame = share_out(
                (subject.layout.length, subject.layout.width),
                subject.rule,
                self._margins(side, above, led=led),
                longest,
                lines,
                way,
            )
            side, above = self._tabs()
            self.labels = self._labels()
            led = led or any(found is None for found in self.labels.values())
        self.side, self.above, self.led = side, above, led

    # -- where things are

    def _clear(self, side: str) -> float:
        return _BAR_ROOM if self.subject.start == side else 2.0

    def _margins(self, side: Margin, above: Margin, *, led: bool) -> Margins:
        out = 15.0 if led else 0.0
        right = _SLASHES if self.at_end else 0.0
        return Margins(
            left=max(side.breadth, 3.0) + self._clear("left") + 1,
            top=above.breadth + self._clear("top") + 3 + out,
            right=right + self._clear("right") + 2 + (_LED_ROOM if led else 0.0),
            bottom=self._clear("bottom") + 2 + out,
        )

    def _x(self, along: float) -> float:
        return self.frame.x + along * self.frame.points

    def _y(self, across: float) -> float:
        return self.frame.y + (self.subject.layout.width - across) * self.frame.points

    def _box(self, face: Face) -> Box:
        return Box(self._x(face.x), self._y(face.top), self._x(face.right), self._y(face.y))

    def _tabs(self) -> tuple[Margin, Margin]:
        frame = self.frame
        beside = [
            Numbered(self.numbers[cut.piece], self._y(cut.at), cut.depth)
            for cut in self.sheet.cuts
            if cut.kind == "rip" and cut.piece in self.numbers and cut.start <= self.inset.left + HAIR
        ]
        over = [
            Numbered(self.numbers[cut.piece], self._x(cut.at), cut.depth)
            for cut in self.sheet.cuts
            if cut.kind == "crosscut" and cut.piece in self.numbers and cut.end >= self.inset.top - HAIR
        ]
        highest = frame.y + 5 if over else max(frame.y - 30, HEADER + 6)
        return (
            in_margin(beside, highest, frame.y + frame.sheet[1] + 24, upright=True),
            in_margin(over, frame.x + 4, frame.x + frame.sheet[0] + 4, upright=False),
        )

    def _labels(self) -> dict[str, Label | None]:
        found = {}
        inner_ends = [cut for cut in self.bevels if cut not in self.at_end]
        for face in self.sheet.faces:
            if face.role == "waste":
                continue
            line = self.line_of[face.id]
            size = self.subject.rule.size(line.size)
            words = (
                Wording(f"keep: {size}", line.name, line.letter, kept=True)
                if line.kept
                else Wording(line.name, size, line.letter)
            )
            room = self._box(face)
            if any(face.right >= cut.end - HAIR and _touch(face, cut) for cut in inner_ends):
                room = replace(room, right=max(room.right - 15, room.left))
            found[face.id] = label(words, room)
        return found

    # -- what is drawn

    def page(self) -> Page:
        frame, subject = self.frame, self.subject
        texts: list[Text] = [text for found in self.labels.values() if found for text in found.texts]
        taken = [_clear_of(text) for text in texts]
        ends, end_boxes = self._ends()
        taken += end_boxes
        beside, beside_boxes = draw_margin(self.side, frame.x, self._clear("left"), upright=True)
        over, over_boxes = draw_margin(self.above, frame.y, self._clear("top"), upright=False)
        taken += beside_boxes + over_boxes
        led = self._led(taken)
        taken += list(led.taken)
        on_lines, unnumbered = self._on_lines(taken, led)
        says = legend(
            subject,
            self.sheet,
            unnumbered=unnumbered,
            lettered=bool(led.marks) or any(found.lettered for found in self.labels.values() if found),
            led=bool(led.marks),
            unlettered=bool(led.left),
        )
        notes = wrapped(says, frame.legend_width, SMALLEST)
        saved = (frame.legend_lines - len(notes)) * ROW
        title, desc = described(subject, self.sheet, self.lines)
        items: list[Mark] = [
            *self._header(),
            *(self._face(face) for face in self.sheet.faces),
            *self._dotted(),
            *self._outline(),
            *texts,
            *led.marks,
            *on_lines,
            *ends,
            *beside,
            *over,
            Text(*frame.words, _start_words(subject), 10.0, bold=True),
            *(Text(frame.legend[0], frame.legend[1] + at * ROW, line, SMALLEST) for at, line in enumerate(notes)),
            *draw_key(frame.key, f"On this {subject.kind}", subject.rule, frame.key_at[0], frame.key_at[1] - saved),
        ]
        height = frame.height if frame.arrangement == "beside" else frame.height - saved
        return Page(frame.width, height, title, desc, tuple(items))

    def _header(self) -> list[Mark]:
        frame, subject = self.frame, self.subject
        layout = subject.layout
        name = shortened(clean(layout.id), 120.0, 20.0, bold=True)
        marks: list[Mark] = [Text(EDGE, 22, name, 20.0, bold=True)]
        x = EDGE + advance(name, 20.0, bold=True) + 10
        right = frame.width - EDGE - (150 if subject.grain is not None else 0)
        marks.append(Text(x, 22, shortened(clean(layout.stock), right - x, 13.0, bold=True), 13.0, bold=True))
        marks.append(Text(EDGE, 38, headline(subject, self.sheet, frame.denominator), 10.0))
        end = frame.width - EDGE
        if subject.grain:
            marks.append(Text(end - 68, 15, "face grain", 10.0, anchor="middle"))
            marks.append(Arrow(end - 136, 22, end, 22, weight=1.0, both=True, head=7))
        elif subject.grain is not None:
            marks.append(Text(end, 15, "no face grain", 10.0, anchor="end"))
        return marks

    def _face(self, face: Face) -> Mark:
        area = self._box(face)
        x, y, width, height = area.left, area.top, area.width, area.height
        if face.role == "waste":
            spacing = 4.2 if min(width, height) > 7 else 2.4
            marks: tuple[Mark, ...] = (
                Hatch(box(x, y, width, height), spacing),
                Rect(x, y, width, height, weight=min(0.4, min(width, height) / 2)),
            )
            return Group(marks, title="waste")
        weight = min(0.9 if face.role == "offcut" else _FINE, min(width, height) / 3)
        inset = weight / 2 + self._hair()
        corners = (x + inset, y + inset, width - 2 * inset, height - 2 * inset)
        line = self.line_of[face.id]
        title = f"{line.name}, {self.subject.rule.size(line.size)}"
        if face.role == "offcut":
            return Group((Rect(*corners, weight=weight, dashes=(5, 3)),), title=f"keep: {title}")
        return Group(tuple(_outlined(corners, weight, face.bevelled)), title=title)

    def _hair(self) -> float:
        slots = [(cut.high - cut.low) * self.frame.points for cut in self.sheet.cuts if cut.high - cut.low > HAIR]
        return max(0.0, (_HAIR_OF_WHITE - min(slots)) / 2) if slots else 0.0

    def _dotted(self) -> list[Mark]:
        return [
            Line(
                self._x(cut.start) + 1,
                self._y(cut.at),
                self._x(cut.end) - 1,
                self._y(cut.at),
                weight=1.3,
                dashes=(0.1, 3.2),
                dots=True,
            )
            for cut in self.bevels
        ]

    def _outline(self) -> list[Mark]:
        frame = self.frame
        x, y, (width, height) = frame.x, frame.y, frame.sheet
        out = _EDGE / 2
        marks: list[Mark] = [Rect(x - out, y - out, width + 2 * out, height + 2 * out, weight=_EDGE)]
        gap = _EDGE + 1.8 + _BAR / 2
        ends = {
            "bottom": (x - out, y + height + gap, x + width + out, y + height + gap),
            "top": (x - out, y - gap, x + width + out, y - gap),
            "left": (x - gap, y - out, x - gap, y + height + out),
            "right": (x + width + gap, y - out, x + width + gap, y + height + out),
        }
        marks.append(Line(*ends[self.subject.start], weight=_BAR))
        return marks

    def _ends(self) -> tuple[list[Mark], list[Box]]:
        """Draw the slashes of the bevels, with the angle where there is room for it."""
        frame = self.frame
        marks: list[Mark] = []
        boxes: list[Box] = []
        edge = frame.x + frame.sheet[0] + self._clear("right") + 3
        last = None
        for cut in sorted(self.at_end, key=lambda cut: cut.at):
            y = self._y(cut.at)
            near = [abs(other.at - cut.at) for other in self.at_end if other is not cut]
            reach = max(2.0, min(6.0, 0.4 * min(near, default=99) * frame.points))
            marks.append(slash(edge + 7, y, reach, rising=cut.rising))
            boxes.append(Box(edge, y - reach - 1, edge + 14, y + reach + 1))
            if last is None or last - y >= 10:
                text = Text(edge + 16, y + 3.2, _degrees(cut.bevel), SMALLEST)
                marks.append(text)
                boxes.append(box_of(text))
                last = y
        for cut in self.bevels:
            if cut not in self.at_end:
                x, y = self._x(cut.end) - 9, self._y(cut.at)
                marks.append(slash(x, y, 4.5, rising=cut.rising))
                boxes.append(Box(x - 6, y - 6, x + 6, y + 6))
        return marks, boxes

    def _led(self, taken: Sequence[Box]) -> Led:
        small = [
            (self.line_of[face.id].letter, self._box(face))
            for face in self.sheet.faces
            if face.role != "waste" and self.labels[face.id] is None
        ]
        if not small:
            return Led((), (), (), ())
        frame = self.frame
        right, bottom = frame.x + frame.sheet[0], frame.y + frame.sheet[1]
        start = right + (_SLASHES if self.at_end else 0.0) + self._clear("right") + 2
        zones = [
            Box(start, frame.y - 10, start + _LED_ROOM, bottom + 10),
            Box(frame.x, bottom + self._clear("bottom") + 1, right, bottom + self._clear("bottom") + 16),
            Box(frame.x, frame.y - self._clear("top") - 17, right, frame.y - self._clear("top") - 2),
        ]
        zones += [self._box(face).grown(-1.5) for face in self.sheet.faces if face.role == "waste"]
        zones += [self._box(face).grown(-3) for face in self.sheet.faces if face.role == "offcut"]
        return lead(runs(small), zones, taken)

    def _on_lines(self, taken: list[Box], led: Led) -> tuple[list[Mark], bool]:
        """Draw the numbers of the cuts that have none in a margin, and tell whether some found no room."""
        in_margins = {cut.number for margin in (self.side, self.above) for cut, _, _ in margin.tabs}
        faces = [self._box(face) for face in self.sheet.faces]
        marks: list[Mark] = []
        frame, left_out = self.frame, False
        within = Box(frame.x, frame.y, frame.x + frame.sheet[0], frame.y + frame.sheet[1])
        for cut in sorted(self.sheet.cuts, key=lambda cut: cut.depth):
            number = self.numbers.get(cut.piece)
            if number is None or number in in_margins:
                continue
            upright = cut.kind == "crosscut"
            across, along = (self._x, self._y) if upright else (self._y, self._x)
            slot = (across(cut.at), along(cut.start), along(cut.end))
            found = on_line(number, slot, within, faces, taken, led.lines, upright=upright)
            if found is None:
                left_out = True
                continue
            marks += found[0]
            taken.append(found[1].grown(0.6))
        return marks, left_out


def _clear_of(text: Text) -> Box:
    """Return the room a label keeps free of other marks: more at its ends than above and below."""
    covered = box_of(text)
    ends, sides = (0.6, 3.0) if text.turned else (3.0, 0.6)
    return Box(covered.left - ends, covered.top - sides, covered.right + ends, covered.bottom + sides)


def _touch(face: Face, cut: Cut) -> bool:
    return abs(face.top - cut.low) < HAIR or abs(face.y - cut.high) < HAIR


def _degrees(bevel: float) -> str:
    return f"{bevel:.1f}".removesuffix(".0") + "°"


def _start_words(subject: Subject) -> str:
    if subject.start == "bottom":
        return f"Start here: {subject.start_words}"
    return f"Start at the heavy bar ({subject.start}): {subject.start_words}"


def _outlined(corners: tuple[float, float, float, float], weight: float, bevelled: tuple[bool, bool]) -> list[Mark]:
    """Outline a part, leaving out its bevelled edges: the dotted line stands for those."""
    x, y, width, height = corners
    low, high = bevelled
    if not (low or high):
        return [Rect(x, y, width, height, weight=weight)]
    right, bottom = x + width, y + height
    if low and high:
        return [Line(x, y, x, bottom, weight), Line(right, y, right, bottom, weight)]
    if low:
        return [Polyline(((x, bottom), (x, y), (right, y), (right, bottom)), weight)]
    return [Polyline(((x, y), (x, bottom), (right, bottom), (right, y)), weight)]
