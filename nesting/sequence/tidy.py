"""The last of the aims: few open pieces lying about, and full sheets handled once.

Works on finished steps and changes nothing of what comes before in rank: tilt changes, settings and changes of station
stay as they are. While the work stays at one station the settings made there may come in any order that the pieces
allow, and so may the cuts of the guided saw; each time what leaves the fewest pieces lying about comes first, and a
sheet that is under the saw is finished before the next is fetched.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from nesting.layout import Layout, Node
from nesting.lengths import Unit
from nesting.sequence.accuracy import nodes_by_id
from nesting.steps import Step
from nesting.trade.saw import is_full_sheet

Block = list[Step]
"""Steps that share a setting; a single one at the guided saw."""


def open_pieces(steps: Iterable[Step], nodes: Mapping[str, Node]) -> tuple[int, int]:
    """Return how many pieces that are yet to be cut lie about at most, and summed over all steps.

    Stock that no saw has touched yet does not lie about.
    """
    there: set[str] = set()
    most = total = 0
    for step in steps:
        there.discard(step.piece)
        there.update(piece for piece in step.makes if nodes[piece].role == "cut")
        most, total = max(most, len(there)), total + len(there)
    return most, total


def sheets_fetched(steps: Sequence[Step], nodes: Mapping[str, Node], unit: Unit) -> int:
    """Count how often a full sheet is brought to a saw: whenever it is not what the step before has left there."""
    before: tuple[str, ...] = ()
    count = 0
    for step in steps:
        node = nodes[step.piece]
        count += is_full_sheet(node.length, node.width, unit) and step.piece not in before
        before = step.makes
    return count


def tidied(
    layouts: Sequence[Layout], steps: Sequence[Step], unit: Unit, together: Callable[[Step], int] = lambda _: 0
) -> tuple[Step, ...]:
    """Return the steps in an order that leaves no more pieces lying about at once and fetches full sheets less often.

    Among orders that fetch them as often it is one with fewer open pieces on the whole.

    ``steps`` bear the numbers of their settings; ``together`` says which steps are worked together, and no step is
    moved out of its group.
    """
    nodes = nodes_by_id(layouts)
    stays = [list(stay) for _, stay in groupby(steps, key=lambda s: (together(s), s.station, s.bevel))]
    order: list[Step] = []
    for n, stay in enumerate(stays):
        if len(stay) > 1:
            others = {step.setup for m, other in enumerate(stays) if m != n for step in other}
            around = order[-1:], [other[0] for other in stays[n + 1 : n + 2]]

            again = _in_order(stay, others, nodes, unit)
            most, (fetched, total) = _trouble(again, around, nodes, unit)
            most_now, now = _trouble(stay, around, nodes, unit)
            order += again if most <= most_now and (fetched, total) < now else stay
        else:
            order += stay
    return tuple(order)


def _trouble(
    stay: list[Step], around: tuple[list[Step], list[Step]], nodes: Mapping[str, Node], unit: Unit
) -> tuple[int, tuple[int, int]]:
    """Return the most open pieces of one stay; how many sheets it fetches, and its open pieces on the whole."""
    before, after = around
    most, total = open_pieces(stay, nodes)
    return most, (sheets_fetched([*before, *stay, *after], nodes, unit), total)


def _in_order(part: list[Step], others: set[int], nodes: Mapping[str, Node], unit: Unit) -> list[Step]:
    """Return the steps of one stay at a station, block by block; a setting kept from or for others stays put."""
    blocks = [list(block) for _, block in groupby(part, key=lambda step: step.setup)]
    first = [blocks.pop(0)] if blocks[0][0].setup in others else []
    last = [blocks.pop()] if blocks and blocks[-1][0].setup in others else []
    return [step for block in (*first, *_listed(blocks, nodes, unit), *last) for step in block]


def _listed(blocks: list[Block], nodes: Mapping[str, Node], unit: Unit) -> Iterator[Block]:
    """Yield blocks as they can be made, first what goes on with the sheet at hand, then what leaves fewest pieces."""
    maker = {piece: n for n, block in enumerate(blocks) for step in block for piece in step.makes}
    waits = {n: {maker[s.piece] for s in block if s.piece in maker} - {n} for n, block in enumerate(blocks)}
    adds = [sum(nodes[piece].role == "cut" for step in block for piece in step.makes) - len(block) for block in blocks]
    large = [any(is_full_sheet(nodes[s.piece].length, nodes[s.piece].width, unit) for s in block) for block in blocks]
    done: set[int] = set()
    at_hand: set[str] = set()
    while len(done) < len(blocks):
        ready = [n for n in waits if n not in done and waits[n] <= done]
        if not ready:  # two settings wait for each other only if they are one; never in an order that can be made
            yield from (blocks[n] for n in waits if n not in done)
            return

        def bad(n: int) -> tuple[bool, int, int]:
            goes_on = large[n] and any(step.piece in at_hand for step in blocks[n])  # noqa: B023 - used at once
            return not goes_on, adds[n], n

        chosen = min(ready, key=bad)
        done.add(chosen)
        at_hand = {piece for step in blocks[chosen] for piece in step.makes}
        yield blocks[chosen]
