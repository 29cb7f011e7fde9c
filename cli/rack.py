"""``cleatwright rack``: leftovers worth keeping, in a file of one's own, on which later jobs draw."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from cli import rack_papers
from cli.rack_file import USUAL, File, changed_rack, in_step, say_change, with_change
from cli.rack_words import pieces_table, smallest_words
from cli.terminal import counted, hand_over, plain, say
from nesting.errors import BadInput, Fault

if TYPE_CHECKING:
    from nesting.rack.rack import Change, Rack

_ABOUT = "Leftovers worth keeping, on which later jobs draw."
_SIZE = "LENGTHxWIDTHxTHICKNESS"
app = typer.Typer(help=_ABOUT, no_args_is_help=True, rich_markup_mode=None)
app.command("import")(rack_papers.bring_in)
app.command("export")(rack_papers.export)
app.command("label")(rack_papers.label)


@app.command("list")
def listed(
    rack: File = USUAL, json: Annotated[bool, typer.Option("--json", help="Print the pieces as JSON.")] = False
) -> None:
    """Show what is in the rack."""
    from nesting.rack.piece import piece_mapping
    from nesting.rack.rack_file import read_rack

    found = read_rack(Path(rack))
    if json:
        from nesting.json_text import write_json

        hand_over(write_json([piece_mapping(piece) for piece in found.pieces]))
        return
    if not found.pieces:
        say("The rack is empty.")
    for line in pieces_table(found.pieces):
        say(line)


@app.command("add")
def add(
    size: Annotated[str, typer.Argument(metavar=_SIZE, help="As in 31x9x23/32; length along the face grain.")],
    rack: File = USUAL,
    label: Annotated[str | None, typer.Option("--label", metavar="LABEL", help="Default: the next number.")] = None,
    unit: Annotated[str, typer.Option("--unit", metavar="UNIT", help="in or mm, of bare numbers.")] = "in",
    nominal: Annotated[str | None, typer.Option("--nominal", metavar="LENGTH", help="Thickness it is sold as.")] = None,
    grain: Annotated[bool, typer.Option("--grain/--no-grain", help="Whether it has a face grain.")] = True,
    stock: Annotated[str, typer.Option("--stock", metavar="TEXT", help="What it was cut from.")] = "",
    place: Annotated[str, typer.Option("--place", metavar="TEXT", help="Where it stands.")] = "",
    origin: Annotated[str, typer.Option("--origin", metavar="TEXT", help="Project it was left over from.")] = "",
    note: Annotated[str, typer.Option("--note", metavar="TEXT", help="Anything else.")] = "",
) -> None:
    """Put a piece into the rack."""
    from nesting.rack.piece import piece_from
    from nesting.rack.rack import Change

    keys: dict[str, Any] = {
        **_sizes(size), "unit": unit, "grain": grain, "stock": stock, "place": place, "origin": origin, "note": note,
    }  # fmt: skip
    keys |= {key: value for key, value in (("label", label), ("nominal", nominal)) if value is not None}

    def act(found: Rack) -> tuple[Rack, Change]:
        numbers = found.numbers()
        piece = piece_from(keys, numbers)
        return with_change(found, Change(f"added {piece.label}", given=(piece,)), numbers.last)

    say_change(changed_rack(rack, act))


@app.command("change")
def change(
    label: Annotated[str, typer.Argument(metavar="LABEL")],
    rack: File = USUAL,
    new_label: Annotated[str | None, typer.Option("--label", metavar="LABEL", help="Another label.")] = None,
    size: Annotated[str | None, typer.Option("--size", metavar=_SIZE, help="Another size.")] = None,
    stock: Annotated[str | None, typer.Option("--stock", metavar="TEXT", help="What it was cut from.")] = None,
    place: Annotated[str | None, typer.Option("--place", metavar="TEXT", help="Where it stands.")] = None,
    origin: Annotated[str | None, typer.Option("--origin", metavar="TEXT", help="Project it came from.")] = None,
    note: Annotated[str | None, typer.Option("--note", metavar="TEXT", help="Anything else.")] = None,
) -> None:
    """Describe a piece anew; what is not given stays."""
    from nesting.rack.piece import piece_from, piece_mapping
    from nesting.rack.rack import Change
    from nesting.rack.rack import found as found_in

    given = {"label": new_label, "stock": stock, "place": place, "origin": origin, "note": note}
    keys: dict[str, Any] = {key: value for key, value in given.items() if value is not None}
    keys |= _sizes(size) if size is not None else {}

    def act(found: Rack) -> tuple[Rack, Change]:
        (old,) = found_in(found.by_label, [label])
        kept = piece_mapping(old)
        if size is not None and old.nominal == old.thickness:
            del kept["nominal"]
        new = piece_from({**kept, **keys})
        return with_change(found, Change(f"changed {label}", (old,), (new,)))

    say_change(changed_rack(rack, act))


@app.command("take")
def take(labels: Annotated[list[str], typer.Argument(metavar="LABEL...")], rack: File = USUAL) -> None:
    """Take pieces out of the rack."""
    from nesting.rack.rack import Change
    from nesting.rack.rack import found as found_in

    def act(found: Rack) -> tuple[Rack, Change]:
        taken = found_in(found.by_label, labels)
        return with_change(found, Change(f"took {', '.join(piece.label for piece in taken)}"[:120], taken=taken))

    say_change(changed_rack(rack, act))


@app.command("undo")
def undo(rack: File = USUAL) -> None:
    """Take the latest change back; again for the one before."""
    from nesting.rack.rack import undone

    latest = changed_rack(rack, undone)
    say(f"Taken back: {plain(latest.words)}.")
    say_change(latest.back)


@app.command("smallest")
def smallest(
    size: Annotated[
        str | None, typer.Argument(metavar="LENGTHxWIDTH", help="As in 10x2 1/2; default: show it.")
    ] = None,
    unit: Annotated[str, typer.Option("--unit", metavar="UNIT", help="in or mm, of bare numbers.")] = "in",
    rack: File = USUAL,
) -> None:
    """Set, or show, the smallest leftover worth keeping."""
    from dataclasses import replace

    from nesting.rack.rack_file import read_rack, smallest_from

    if size is None:
        say(smallest_words(read_rack(Path(rack)).smallest))
        return
    sides = re.split("[x×]", size, flags=re.IGNORECASE)
    if len(sides) != 2:
        raise BadInput([Fault("LENGTHxWIDTH", "", f"{plain(size)!r} is no size", "length x width, as 10x2 1/2")])
    faults: list[Fault] = []
    wanted = smallest_from({"unit": unit, "length": sides[0], "width": sides[1]}, (), faults)
    if faults:
        raise BadInput(faults)
    changed_rack(rack, lambda found: (replace(found, smallest=wanted), None))
    say(smallest_words(wanted))


@app.command("settle")
def settle(
    folder: Annotated[str, typer.Argument(metavar="DIR", help="The folder of a plan that is ticked off.")],
    rack: File = USUAL,
) -> None:
    """Let the rack take and give what a plan used and left, as `done --rack` does by itself."""
    from nesting.progress.file import read
    from nesting.progress.standing import standing
    from nesting.rack.give_back import carried_out

    plan, progress = read(Path(folder))
    if not carried_out(plan, progress):
        now = standing(plan, progress)
        what = f"{counted(len(now.open_steps), 'open step')}" if now.open_steps else "parts of it are lost"
        raise BadInput([Fault(folder, "", f"is not ticked off: {what}", "a plan whose steps are all done")])
    if not in_step(rack, plan, progress):
        say("The rack has it already.")


def _sizes(text: str) -> dict[str, str]:
    """Return the three sizes in a text; what each of them says is judged with the other keys."""
    sides = re.split("[x×]", text, flags=re.IGNORECASE)
    if len(sides) != 3:
        accepted = "length x width x thickness, as 31x9x23/32 or '30 1/2 x 9 x 18 mm'"
        raise BadInput([Fault(_SIZE, "", f"{plain(text)!r} is no size", accepted)])
    return dict(zip(("length", "width", "thickness"), (side.strip() for side in sides), strict=True))
