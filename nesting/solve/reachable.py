"""Which pieces a limit on stages or on the first cut rules out, whatever else shares the stock.

A piece alone needs a crosscut where the stock is longer and a rip where it is wider; a cleat needs its bevel rip in
any case. Two directions are two stages, and a first cut in a direction that the piece does not need cannot be made.
"""

from __future__ import annotations

from nesting.solve.problem import Bar, Item, Problem


def limited(problem: Problem) -> bool:
    """Whether stages or the direction of the first cut are limited."""
    return problem.max_stages is not None or problem.first_cut != "any"


def stages_alone(spare_x: int, spare_y: int, first_cut: str, *, bevelled: bool = False) -> int | None:
    """Return the stages that cut one piece out of a stock longer and wider by these spares, or None for no way.

    >>> stages_alone(5, 3, "rip"), stages_alone(5, 0, "any"), stages_alone(5, 0, "rip"), stages_alone(0, 0, "rip")
    (2, 1, None, 0)
    """
    needed = [cut for cut, wanted in (("crosscut", spare_x > 0), ("rip", spare_y > 0 or bevelled)) if wanted]
    if needed and first_cut != "any" and first_cut not in needed:
        return None
    return len(needed)


def reachable(problem: Problem, piece: Item | Bar, *, unlimited: bool = False) -> bool:
    """Whether a piece can be cut from some bin by itself, by size and within the limits on stages and first cut.

    ``unlimited``: only bins without a limit on their number count.
    """
    spares: list[tuple[int, int]] = []
    for b, stock in enumerate(problem.bins):
        if unlimited and stock.limit is not None:
            continue
        if isinstance(piece, Item):
            as_is, turned = piece.ways[b]
            if as_is:
                spares.append((stock.length - piece.length, stock.width - piece.width))
            if turned:
                spares.append((stock.length - piece.width, stock.width - piece.length))
        elif problem.blanks and piece.length <= stock.length:
            spares += [
                (stock.length - piece.length, stock.width - blank.width)
                for blank in problem.blanks[b]
                if blank.width <= stock.width and piece.kind in (blank.low, blank.high)
            ]
    needs = [stages_alone(*spare, problem.first_cut, bevelled=isinstance(piece, Bar)) for spare in spares]
    return any(need is not None and (problem.max_stages is None or need <= problem.max_stages) for need in needs)
