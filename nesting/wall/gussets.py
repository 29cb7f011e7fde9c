"""Gussets: two equal right triangles out of one rectangle, parted along its diagonal."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import isqrt


@dataclass(frozen=True, slots=True)
class DiagonalCut:
    """One rectangle to be cut corner to corner, and what each of its two triangles offers at least.

    ``length`` and ``width`` are those of the rectangle; ``tall`` (along the length) and ``deep`` the legs
    wanted of each triangle. The kerf lies half on either side of the diagonal.
    """

    part: str
    length: Fraction
    width: Fraction
    tall: Fraction
    deep: Fraction
    quantity: int


def for_two(tall: Fraction, deep: Fraction, kerf: Fraction, step: Fraction) -> tuple[Fraction, Fraction]:
    """Return the sides of the rectangle that gives two triangles with legs of at least ``tall`` and ``deep``.

    A cut of kerf k centred on the diagonal moves each hypotenuse k/2 toward the right angle, which shortens the legs a
    and b by k c / 2b and k c / 2a, c being the hypotenuse: so much is added, rounded up to ``step``. Similar
    triangles, derived.

    >>> for_two(Fraction(6), Fraction(6), Fraction(1, 8), Fraction(1, 32))
    (Fraction(195, 32), Fraction(195, 32))
    >>> for_two(Fraction(4), Fraction(3), Fraction(0), Fraction(1, 32))
    (Fraction(4, 1), Fraction(3, 1))
    """
    squared = tall**2 + deep**2
    return (
        _up(tall, (kerf / 2) ** 2 * squared / deep**2, step),
        _up(deep, (kerf / 2) ** 2 * squared / tall**2, step),
    )


def _up(side: Fraction, squared: Fraction, step: Fraction) -> Fraction:
    """Return ``side`` and the root of ``squared`` together, rounded up to ``step``, all of it exact."""
    if squared == 0:
        return side
    fine = squared / step**2 * 2**40
    low = Fraction(isqrt(fine.numerator // fine.denominator), 2**20) * step  # not above the root
    length = -(-(side + low) // step) * step
    return length if (length - side) ** 2 >= squared else length + step
