"""Head pull-through: the member under the head gives way before the thread does."""

from __future__ import annotations

import math


def pull_through(head: float, gravity: float, thickness: float) -> float:
    """Return W_H in lb for a round head of diameter ``head`` on a side member ``thickness`` thick (in).

    NDS Eq. 12.2-6 (transcribed, p. 82): 690 pi D_H G^2 t up to t = 2.5 D_H, 1725 pi D_H^2 G^2 beyond; G is that of
    the side member.

    >>> round(pull_through(0.312, 0.42, 0.719), 2)
    85.78
    """
    if thickness <= 2.5 * head:
        return 690 * math.pi * head * gravity**2 * thickness
    return 1725 * math.pi * head**2 * gravity**2


def sunk_depth(head: float) -> float:
    """Return how deep a flat head sits: a third of its diameter.

    That the tests behind the equation took flat heads flush, with a third of the head's depth deducted, is reported
    and not read; to be safe this deducts a third of the *diameter*, more than such a head is deep (derived).
    """
    return head / 3


def pull_through_flat(head: float, gravity: float, thickness: float) -> float:
    """Return W_H in lb for a flat head let in flush: the round head's value with the head's depth deducted.

    >>> pull_through_flat(0.312, 0.42, 0.719) < pull_through(0.312, 0.42, 0.719)
    True
    """
    return pull_through(head, gravity, max(0.0, thickness - sunk_depth(head)))
