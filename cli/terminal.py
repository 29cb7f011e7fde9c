"""Words to a terminal, a pipe or a file: harmless whatever a name holds, plain where colour is unwanted.

Standard output bears the result, standard error everything else. A failure of standard error is not
worth losing a plan over; a failure of standard output is told by :class:`OutputFailed`.
"""

from __future__ import annotations

import contextlib
import os
import sys
import unicodedata
from typing import TextIO

_RIGHT_TO_LEFT = frozenset(("R", "AL", "AN"))
_ISOLATE, _END_OF_ISOLATE = "\u2068", "\u2069"
# characters that move the cursor, break the line, turn the writing direction or are none at all
_HARMFUL = frozenset(("Cc", "Cf", "Cs", "Co", "Zl", "Zp"))
_JOINERS = frozenset("\u200c\u200d")  # Persian and Indic words need them; they move nothing


class OutputFailed(Exception):
    """Standard output takes no more; ``closed`` where whoever read it has left, else ``reason`` says why."""

    def __init__(self, reason: str, *, closed: bool) -> None:
        super().__init__(reason)
        self.reason, self.closed = reason, closed


def plain(text: str) -> str:
    r"""Return a text fit for one line of a terminal: what could steer it is written out.

    >>> plain("a\x1b[31mred\nb"), plain("\u202egnp.exe")
    ('a\\x1b[31mred\\x0ab', '\\u202egnp.exe')
    >>> plain("[red]shelf[/red]"), plain("½ in, 2″")
    ('[red]shelf[/red]', '½ in, 2″')
    """
    return "".join(map(_written_out, text))


def name(text: str) -> str:
    r"""Return somebody's own text fit for a line among ours: right-to-left writing keeps to itself.

    Isolated as Unicode Standard Annex 9 has it, so that the figures beside it stay in their order.

    >>> name("shelf"), name("מדף") == "\u2068מדף\u2069"
    ('shelf', True)
    """
    safe = plain(text)
    if any(unicodedata.bidirectional(sign) in _RIGHT_TO_LEFT for sign in safe):
        return f"{_ISOLATE}{safe}{_END_OF_ISOLATE}"
    return safe


def _written_out(sign: str) -> str:
    if sign in _JOINERS or unicodedata.category(sign) not in _HARMFUL:
        return sign
    code = ord(sign)
    return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def counted(count: int, word: str) -> str:
    """Return a count with its word.

    >>> counted(1, "layout"), counted(0, "layout")
    ('1 layout', '0 layouts')
    """
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def width(text: str) -> int:
    """Return how many columns of a terminal a text takes: wide characters two, marks and isolates none."""
    return sum(_columns(sign) for sign in text)


def _columns(sign: str) -> int:
    if unicodedata.category(sign) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(sign) in "WF" else 1


def table(rows: list[tuple[str, ...]], right: tuple[int, ...] = ()) -> list[str]:
    """Return rows as lines whose columns stand below one another; columns in ``right`` end together.

    >>> table([("2", "birch", "86.50"), ("10", "pine", "7.00")], right=(0, 2))
    [' 2  birch  86.50', '10  pine    7.00']
    """
    if not rows:
        return []
    widest = [max(width(cell) for cell in column) for column in zip(*rows, strict=True)]
    lines = []
    for row in rows:
        cells = []
        for place, cell in enumerate(row):
            space = " " * (widest[place] - width(cell))
            cells.append(space + cell if place in right else cell + space)
        lines.append("  ".join(cells).rstrip())
    return lines


def lively(stream: TextIO | None) -> bool:
    """Whether a stream is a terminal that can move its cursor."""
    try:
        return stream is not None and stream.isatty() and os.environ.get("TERM", "") != "dumb"
    except (ValueError, OSError):  # closed
        return False


def heading(text: str) -> str:
    """Return a heading for standard output: bold on a terminal, unless NO_COLOR is set."""
    if lively(sys.stdout) and not os.environ.get("NO_COLOR"):
        return f"\x1b[1m{text}\x1b[0m"
    return text


def prepare() -> None:
    """Let both streams replace what their encoding lacks instead of failing."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def say(line: str = "") -> None:
    """Write a line to standard output."""
    _write(f"{line}\n".encode(getattr(sys.stdout, "encoding", None) or "utf-8", "replace"))


def hand_over(text: str) -> None:
    """Write a document to standard output as it is: UTF-8, whatever the locale."""
    _write(text.encode())


def _write(data: bytes) -> None:
    out = sys.stdout
    try:
        if out is None:
            raise OutputFailed("there is no standard output", closed=False)
        buffer = getattr(out, "buffer", None)
        if buffer is None:  # a stand-in for text only
            out.write(data.decode(getattr(out, "encoding", None) or "utf-8"))
        else:
            buffer.write(data)
    except BrokenPipeError:
        raise _failed("nobody reads it any more", closed=True) from None
    except (OSError, ValueError) as error:
        raise _failed(_reason(error), closed=False) from None


def flush() -> None:
    """Bring everything said to where it goes; raises :class:`OutputFailed`."""
    try:
        if sys.stdout is not None:
            sys.stdout.flush()
    except BrokenPipeError:
        raise _failed("nobody reads it any more", closed=True) from None
    except (OSError, ValueError) as error:
        raise _failed(_reason(error), closed=False) from None


def _reason(error: Exception) -> str:
    return (error.strerror if isinstance(error, OSError) else None) or str(error)


def _failed(reason: str, *, closed: bool) -> OutputFailed:
    """Turn standard output away for good, so that the interpreter does not stumble over it when it ends."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
    return OutputFailed(reason, closed=closed)


def tell(line: str) -> None:
    """Write a line to standard error, if it can be written."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        sys.stderr.write(f"{line}\n")
        sys.stderr.flush()
