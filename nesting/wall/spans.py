"""Closed stretches of a line: what is left of some, what two lists share, all that any covers."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import TypeAlias

Span: TypeAlias = tuple[Fraction, Fraction]
"""From a lower to an upper end, both included."""


def without(spans: Iterable[Span], low: Fraction, high: Fraction) -> tuple[Span, ...]:
    """Return what is left of spans when the open stretch between two ends is taken out; the ends themselves stay.

    >>> without([(Fraction(0), Fraction(10))], Fraction(4), Fraction(6)) == ((0, 4), (6, 10))
    True
    >>> without([(Fraction(5), Fraction(5))], Fraction(4), Fraction(6))
    ()
    """
    left: list[Span] = []
    for start, end in spans:
        if end <= low or start >= high:
            left.append((start, end))
            continue
        if start <= low:
            left.append((start, low))
        if end >= high:
            left.append((high, end))
    return tuple(left)


def shared(spans: Iterable[Span], others: Iterable[Span]) -> tuple[Span, ...]:
    """Return what two lists of spans have in common, from the low end.

    >>> two = [(Fraction(0), Fraction(4)), (Fraction(6), Fraction(9))]
    >>> shared(two, [(Fraction(4), Fraction(7))]) == ((4, 4), (6, 7))
    True
    """
    others = tuple(others)
    both = [(max(a[0], b[0]), min(a[1], b[1])) for a in spans for b in others]
    return tuple(sorted(span for span in both if span[0] <= span[1]))


def joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Return all that any of the spans covers, as few spans as do, from the low end.

    >>> joined([(Fraction(3), Fraction(5)), (Fraction(0), Fraction(4)), (Fraction(7), Fraction(7))]) == ((0, 5), (7, 7))
    True
    """
    found: list[Span] = []
    for start, end in sorted(spans):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((start, end))
    return tuple(found)
