"""``cleatwright rack import``, ``export`` and ``label``: the rack as a table and as labels."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.rack_file import USUAL, File, changed_rack, say_change, with_change
from cli.terminal import counted, hand_over, name, plain, say
from nesting.errors import BadInput, Fault

if TYPE_CHECKING:
    from nesting.rack.rack import Change, Rack

_LARGEST_TABLE = 8_000_000


def bring_in(
    table: Annotated[str, typer.Argument(metavar="TABLE", help="A table (CSV) with length, width and thickness.")],
    rack: File = USUAL,
    replace: Annotated[bool, typer.Option("--replace", help="Put it in place of all that is in the rack.")] = False,
) -> None:
    """Bring in the pieces of a table; nothing of it where a line has a fault."""
    from nesting.rack.csv_file import rack_from_csv
    from nesting.rack.rack import Change

    text = _text(Path(table))

    def act(found: Rack) -> tuple[Rack, Change]:
        numbers = found.numbers()
        given = rack_from_csv(text, numbers)
        there = found.pieces if replace else ()
        words = f"{'a table of' if replace else 'brought in'} {counted(len(given), 'piece')}"
        return with_change(found, Change(words, there, given), numbers.last)

    say_change(changed_rack(rack, act))


def export(
    table: Annotated[str, typer.Argument(metavar="TABLE", help="File to write; - prints it.")] = "-", rack: File = USUAL
) -> None:
    """Write the rack as a table (CSV) that `import` reads back; never over a file."""
    from nesting.rack.csv_file import rack_csv
    from nesting.rack.rack_file import read_rack

    _hand_over(table, rack_csv(read_rack(Path(rack)).pieces).encode())


def label(
    labels: Annotated[list[str] | None, typer.Argument(metavar="LABEL...", help="Default: all.")] = None,
    out: Annotated[
        str, typer.Option("--out", metavar="FILE", help=".pdf: one a page; .svg: one alone.")
    ] = "labels.pdf",
    address: Annotated[
        str | None,
        typer.Option("--address", metavar="URL", help="Of a service, whose page the code opens."),
    ] = None,
    rack: File = USUAL,
) -> None:
    """Draw labels with a QR code, 89 by 38 mm; never over a file."""
    from nesting.rack.rack import found as found_in
    from nesting.rack.rack_file import read_rack

    faults: list[Fault] = []
    if address is not None and not re.fullmatch(r"https?://[^\s/]+(/\S*)?", address):
        faults.append(Fault("--address", "", f"{plain(address)!r} is no address", "as http://bench.example:8000"))
    if not out.lower().endswith((".pdf", ".svg")):
        faults.append(Fault("--out", "", f"{plain(out)!r} is no name for labels", "a name that ends in .pdf or .svg"))
    if faults:
        raise BadInput(faults)
    found = read_rack(Path(rack))
    chosen = found_in(found.by_label, labels) if labels else found.pieces
    if not chosen:
        raise BadInput([Fault("LABEL", "", "the rack is empty")])
    from nesting.rack.label import label as drawn

    pages = [drawn(piece, address) for piece in chosen]
    if out.lower().endswith(".pdf"):
        from nesting.paper.packet import drawings_pdf

        _hand_over(out, drawings_pdf(pages))
    elif len(pages) > 1:
        raise BadInput([Fault("--out", "", f"an SVG holds one label, not {len(pages)}", "one LABEL, or a .pdf")])
    else:
        from nesting.draw.ink import to_svg

        _hand_over(out, to_svg(pages[0]).encode())
    say(f"{counted(len(pages), 'label')} in {name(out)}.")


def _text(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return file.read(_LARGEST_TABLE + 1).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput([Fault(str(path), "", f"is not UTF-8 text: {error.reason}", "a table saved as UTF-8")]) from None
    except ValueError as error:  # a null byte in the name
        raise BadInput([Fault(str(path), "", f"is no path: {error}")]) from None
    except OSError as error:
        raise BadInput([Fault(str(path), "", f"cannot be read: {error.strerror}")]) from None


def _hand_over(path: str, content: bytes) -> None:
    if path == "-":
        hand_over(content.decode())
        return
    target = Path(path)
    try:
        with target.open("xb") as file:
            try:
                file.write(content)
                file.flush()
            except BaseException:  # a full disk, Ctrl-C: leave no half of a file
                target.unlink(missing_ok=True)
                raise
    except FileExistsError:
        raise BadInput([Fault(path, "", "is there already, and nothing is overwritten", "another name")]) from None
    except (FileNotFoundError, NotADirectoryError):
        raise BadInput([Fault(path, "", "cannot be written: its folder is not there")]) from None
    except ValueError as error:  # a null byte
        raise BadInput([Fault(path, "", f"is no path: {error}")]) from None
