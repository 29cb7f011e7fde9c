"""Grafting new cuts into the trees of a plan: a solver's tree into its piece, and the piece into its sheet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from nesting.layout import CutKind, Layout, Node
from nesting.replan.bench import Room
from nesting.trade.offcuts import worth_keeping

ZERO = Fraction(0)


def planted(tree: Node, room: Room, kerf: Fraction) -> Layout:
    """Return a piece's layout: the tree of its sound part where it lies in its sheet, rough factory edges cut off.

    The layout bears the piece's id and the outline of its whole sheet, so that factory edges are known as such.
    """
    node, layout = room.node, room.layout
    inner = tree if room.whole else _moved(tree, room.x, room.y)
    if not room.whole:
        x, y, right, high = room.x, room.y, room.x + room.length, room.y + room.width
        end_x, end_y = node.x + node.length, node.y + node.width
        if right < end_x:
            inner = _trimmed(inner, "crosscut", ZERO, end_x - right, kerf)
        if high < end_y:
            inner = _trimmed(inner, "rip", ZERO, end_y - high, kerf)
        if node.x < x:
            inner = _trimmed(inner, "crosscut", x - node.x, ZERO, kerf)
        if node.y < y:
            inner = _trimmed(inner, "rip", y - node.y, ZERO, kerf)
    return Layout(node.id, layout.stock, layout.length, layout.width, layout.thickness, inner)


def _trimmed(inner: Node, cut: CutKind, low: Fraction, high: Fraction, kerf: Fraction) -> Node:
    """Return a rectangle from which ``low`` or ``high``, kerf included, is cut off to leave ``inner``."""
    off = low + high - kerf
    rip = cut == "rip"
    whole = replace(
        inner,
        x=inner.x if rip else inner.x - low,
        y=inner.y - low if rip else inner.y,
        length=inner.length if rip else inner.length + low + high,
        width=inner.width + low + high if rip else inner.width,
        role="cut",
        cut=cut,
        bevel=ZERO,
        pieces=(inner,),
        part=None,
        turned=False,
    )
    if off <= 0:
        return whole
    scrap = Node(
        "",
        whole.x if rip or low else inner.x + inner.length + kerf,
        whole.y if low or not rip else inner.y + inner.width + kerf,
        whole.length if rip else off,
        off if rip else whole.width,
        "waste",
    )
    return replace(whole, pieces=(scrap, inner) if low else (inner, scrap))


def _moved(tree: Node, x: Fraction, y: Fraction) -> Node:
    order = [tree]
    for node in order:
        order.extend(node.pieces)
    made: dict[int, Node] = {}
    for node in reversed(order):
        pieces = tuple(made[id(piece)] for piece in node.pieces)
        made[id(node)] = replace(node, x=node.x + x, y=node.y + y, pieces=pieces)
    return made[id(tree)]


def grafted(tree: Node, instead: Mapping[str, Node]) -> Node:
    """Return a tree in which some pieces, by their ids, are cut otherwise."""
    order = [tree]
    for node in order:
        if node.id not in instead:
            order.extend(node.pieces)
    made: dict[int, Node] = {}
    for node in reversed(order):
        if node.id in instead:
            made[id(node)] = instead[node.id]
        else:
            made[id(node)] = replace(node, pieces=tuple(made[id(piece)] for piece in node.pieces))
    return made[id(tree)]


def uncut(node: Node, *, waste: bool, unit: str) -> Node:
    """Return a piece that is not cut any more: lost ones are waste, others a leftover where they are worth it."""
    keep = not waste and worth_keeping(node.length, node.width, "mm" if unit == "mm" else "in")
    bare = replace(node, role="offcut" if keep else "waste", cut=None, bevel=ZERO)
    return replace(bare, pieces=(), part=None, turned=False)
