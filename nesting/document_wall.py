"""Writing the wall down: rows and the pieces that the layouts gave them, studs, keep-outs, what hangs where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from nesting.layout import Layout
from nesting.plan import number
from nesting.plan_wall import (
    BareStretch,
    BuiltGusset,
    BuiltHolder,
    BuiltHole,
    BuiltPartDocument,
    BuiltScrews,
    HungHolder,
    LeftOut,
    Splicing,
    Stretch,
    WallDocument,
    WallKeepout,
    WallLayer,
    WallPiece,
    WallRow,
    WallScrewsDocument,
    WallStuds,
)
from nesting.project.model import Project
from nesting.project.wall_keys import Wall
from nesting.savings import Fixed
from nesting.wall.built import Built
from nesting.wall.fitting import Fitting
from nesting.wall.naming import HungPiece, pieces_of
from nesting.wall.screws import holder_lines, row_screws


def wall_document(
    project: Project, fitting: Fitting, layouts: Sequence[Layout], saved: Fixed | None = None
) -> WallDocument:
    """Return a project's wall as the plan file holds it, its pieces as the layouts cut them."""
    return wall_with(project, fitting, tuple(pieces_of(fitting.runs, layouts)), saved)


def wall_with(
    project: Project, fitting: Fitting, pieces: Sequence[HungPiece], saved: Fixed | None = None
) -> WallDocument:
    """Return a project's wall with these pieces on its rows."""
    rows = tuple(_rows(fitting, pieces))
    wall = project.wall
    if wall is None:
        return WallDocument(
            rows=rows, built=tuple(map(_built, fitting.built)), screws=tuple(_screws(project, fitting, pieces))
        )
    return WallDocument(
        rows=rows,
        holders=tuple(_hung(fitting)),
        left_out=tuple(
            LeftOut(holder=left.holder, copies=left.copies, text=left.reason) for left in fitting.hanging.left_out
        ),
        hanging_proven=fitting.hanging.proven,
        screws=tuple(_screws(project, fitting, pieces)),
        width=number(wall.width),
        height=number(wall.height),
        floor_gap=number(wall.floor_gap),
        cleat_height=number(project.cleats.wall_height),
        overhang=number(wall.overhang),
        studs=_studs(project, wall),
        sheathing=tuple(WallLayer(name=layer.name, thickness=number(layer.thickness)) for layer in wall.sheathing),
        keepouts=tuple(
            WallKeepout(
                name=keepout.name,
                x=number(keepout.x),
                y=number(keepout.y),
                width=number(keepout.width),
                height=number(keepout.height),
                clearance=number(keepout.clearance),
            )
            for keepout in wall.keepout
        ),
        built=tuple(map(_built, fitting.built)),
        per_stud=wall.screws.per_stud,
        splicing=_splicing(fitting, pieces, saved),
    )


def _hung(fitting: Fitting) -> Iterator[HungHolder]:
    widths = {built.name: built.width for built in fitting.built}
    for hung in fitting.hanging.hung:
        yield HungHolder(
            holder=hung.holder,
            copy=hung.copy,
            x=number(hung.x),
            row=hung.row,
            y=number(hung.bottom),
            width=number(widths[hung.holder]),
            height=number(hung.top - hung.bottom),
            foot=hung.foot,
        )


def _screws(project: Project, fitting: Fitting, pieces: Sequence[HungPiece]) -> Iterator[WallScrewsDocument]:
    spacers = {built.name: fitting.spacers(built) for built in fitting.built}
    lines = (
        *row_screws(project, [(piece.row, piece.x, piece.length) for piece in pieces]),
        *holder_lines(fitting.built, spacers),
    )
    for line in lines:
        yield WallScrewsDocument(
            use=line.holds,
            count=line.count,
            gauge=line.gauge,
            length=number(line.length),
            kind=line.kind,
            note=line.note,
        )


def _splicing(fitting: Fitting, pieces: Sequence[HungPiece], saved: Fixed | None) -> Splicing:
    joints = len(pieces) - len(fitting.runs)
    fewest = sum(len(fitted.splices[0]) - 1 for fitted in fitting.runs)
    if saved is None or saved.cost is None:
        return Splicing(joints=joints, fewest_joints=fewest, text="" if saved is None else saved.sentence)
    return Splicing(
        joints=joints,
        fewest_joints=fewest,
        fixed_cost=number(saved.cost),
        fixed_sheets=saved.sheets,
        fixed_proven=saved.proven,
        text=saved.sentence,
    )


def _studs(project: Project, wall: Wall) -> WallStuds:
    studs = wall.studs
    return WallStuds(
        centres=tuple(number(centre) for centre in studs.centres(wall.width, project.unit)),
        width=number(studs.stud_width),
        species=studs.species,
        assumed=studs.positions is None and (studs.first is None or studs.spacing is None),
    )


def _rows(fitting: Fitting, pieces: Sequence[HungPiece]) -> Iterator[WallRow]:
    for row in fitting.rows:
        studs = [centre for run in row.runs for centre in run.studs]
        yield WallRow(
            y=number(row.y),
            pieces=tuple(_piece(piece, studs) for piece in pieces if piece.row == row.index),
            runs=tuple(Stretch(x=number(run.x), length=number(run.length)) for run in row.runs),
            bare=tuple(
                BareStretch(x=number(bare.x), length=number(bare.length), studs=bare.studs) for bare in row.bare
            ),
        )


def _piece(piece: HungPiece, studs: Sequence[Fraction]) -> WallPiece:
    behind = [centre for centre in studs if piece.x <= centre <= piece.x + piece.length]
    return WallPiece(
        x=number(piece.x),
        length=number(piece.length),
        part=piece.part,
        studs=tuple(number(centre) for centre in behind),
    )


def _built(built: Built) -> BuiltHolder:
    holder = built.holder
    parts = [*built.parts, *([built.spacer] if built.spacer is not None else [])]
    return BuiltHolder(
        holder=built.name,
        style=holder.style,
        quantity=holder.quantity,
        width=number(built.width),
        height=number(built.height),
        depth=number(built.depth),
        thickness=number(built.thickness),
        load=float(holder.load),
        top=number(built.top),
        lift=number(built.lift),
        parts=(
            *(
                BuiltPartDocument(
                    name=part.name,
                    quantity=part.quantity if part is built.spacer else part.quantity // holder.quantity,
                    note=part.note,
                )
                for part in parts
            ),
            BuiltPartDocument(name=built.cleat.name, quantity=built.cleat.quantity // holder.quantity),
        ),
        joints=built.joints,
        gussets=tuple(
            BuiltGusset(
                part=cut.part,
                length=number(cut.length),
                width=number(cut.width),
                tall=number(cut.tall),
                deep=number(cut.deep),
                quantity=cut.quantity,
            )
            for cut in built.gussets
        ),
        drilling=tuple(
            BuiltHole(
                along=number(hole.along),
                from_rear=number(hole.from_rear),
                diameter=number(hole.diameter),
                kind=hole.kind,
            )
            for hole in built.drilling
        ),
        screws=tuple(
            BuiltScrews(
                joins=screws.joins,
                count=screws.count,
                gauge=screws.gauge,
                length=number(screws.length),
                note=screws.note,
            )
            for screws in built.screws
        ),
    )
