"""What the terminal says of the rack: its pieces as a table, a change in a line or two."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from cli.terminal import heading, name, plain, table

if TYPE_CHECKING:
    from nesting.rack.piece import RackPiece
    from nesting.rack.rack import Change, Smallest

_MOST_NAMED = 12


def pieces_table(pieces: Sequence[RackPiece]) -> Iterator[str]:
    """Yield the pieces as lines of a table, with a line of headings."""
    from nesting.rack.piece import size_words

    if not pieces:
        return
    heads = ("label", "length × width × thickness", "grain", "place", "left over from", "note")
    rows = [
        (
            name(piece.label), size_words(piece), "along" if piece.grain else "none", name(piece.place),
            name(piece.origin or piece.stock), name(piece.note),
        )
        for piece in pieces
    ]  # fmt: skip
    first, *rest = table([heads, *rows])
    yield heading(first)
    yield from rest


def about_change(change: Change) -> Iterator[str]:
    """Yield what left the rack and what came into it.

    >>> from nesting.rack.rack import Change
    >>> list(about_change(Change("nothing")))
    ['Rack: nothing taken, nothing added.']
    """
    from nesting.rack.piece import size_words

    replaced = {piece.label for piece in change.taken} & {piece.label for piece in change.given}
    taken = [piece.label for piece in change.taken if piece.label not in replaced]
    if not change.taken and not change.given:
        yield "Rack: nothing taken, nothing added."
    if taken:
        yield f"Rack: took {_listed(taken)}."
    for piece in change.given[:_MOST_NAMED]:
        word = "now" if piece.label in replaced else "added"
        place = f", {name(piece.place)}" if piece.place else ""
        yield f"Rack: {word} {name(piece.label)}, {size_words(piece)}{place}."
    if len(change.given) > _MOST_NAMED:
        yield f"Rack: and {len(change.given) - _MOST_NAMED} more."


def smallest_words(smallest: Smallest) -> str:
    """Return what is worth keeping, in a sentence."""
    from nesting.lengths import show_length
    from nesting.rack.piece import FINEST

    length, width = (
        show_length(side, smallest.unit, FINEST[smallest.unit]) for side in (smallest.length, smallest.width)
    )
    return f"Worth keeping is what has {length} × {width} {smallest.unit} or more."


def _listed(labels: Sequence[str]) -> str:
    few = ", ".join(plain(label) for label in labels[:_MOST_NAMED])
    more = len(labels) - _MOST_NAMED
    return f"{few} and {more} more" if more > 0 else few
