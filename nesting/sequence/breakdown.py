"""Breaking a full sheet down: which strips the first cut of the guided saw takes off."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction


def break_down(
    sizes: list[Fraction], across: Fraction, kerf: Fraction, widest: Fraction, wanted: Counter[Fraction]
) -> frozenset[int]:
    """Choose the strips of the group that the guided saw takes off a full sheet.

    Each group is at most ``widest`` or a single strip. The strip wanted least often elsewhere is the first of its
    group, because the last strip of a group without slack needs no setting of its own; then the larger strips.

    >>> sizes = [Fraction(12), Fraction(35)]
    >>> sorted(break_down(sizes, Fraction(48), Fraction(1, 8), Fraction(36), Counter(sizes)))
    [0]
    """
    count = Counter(sizes)
    order = sorted(range(len(sizes)), key=lambda i: (count[sizes[i]] > 1, wanted[sizes[i]], sizes[i], i))
    larger = sorted(range(len(sizes)), key=lambda i: (-sizes[i], i))
    for first in order:
        group, size = {first}, sizes[first]
        for other in (None, *larger):
            if other is not None:
                if other in group or len(group) + 1 == len(sizes) or size + kerf + sizes[other] > widest:
                    continue
                group.add(other)
                size += kerf + sizes[other]
            rest = across - size - kerf
            if rest <= widest or (len(group) + 1 == len(sizes) and rest == sizes[({*range(len(sizes))} - group).pop()]):
                return frozenset(group)
    half: set[int] = set()
    size = Fraction(0)
    for index in larger[:-1]:
        if not half or size + sizes[index] <= across / 2:
            half.add(index)
            size += sizes[index] + kerf
    return frozenset(half)
