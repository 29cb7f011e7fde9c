"""The hand a drawing is lettered in: on a screen whatever sans-serif is there, on paper the one face that travels.

A page set by the packet holds no face of the reader's machine. It is lettered in Libertinus Serif, which is
narrower than the faces for which drawings leave room, so its letters are made larger where the room allows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

from nesting.draw.lettering import FAMILY, advance

# Libertinus Serif 7: advance widths as typeset, in thousandths of an em, for the characters from space to tilde.
_SERIF: Final = (
    "250 288 336 465 465 637 705 190 298 298 369 550 220 338 220 323 465 465 465 465 465 465 465 465 465 465 "
    "236 236 550 550 550 435 895 695 588 646 701 557 485 685 730 297 322 637 528 839 699 702 541 702 587 485 "
    "597 661 652 951 660 575 604 356 287 356 518 486 392 457 493 428 506 447 310 500 538 271 272 512 264 790 "
    "542 504 519 503 372 390 316 531 497 747 490 515 424 277 205 277 449"
)
_SERIF_BOLD: Final = (
    "250 266 376 514 514 637 729 215 315 315 433 537 244 358 244 316 514 514 514 514 514 514 514 514 514 514 "
    "256 256 512 551 512 430 988 740 654 706 734 609 545 732 817 367 373 736 577 899 740 730 614 730 716 504 "
    "652 732 700 1028 718 624 624 397 307 397 518 486 392 506 542 456 561 489 391 521 619 322 312 613 325 905 "
    "616 551 581 573 428 427 358 598 529 777 561 558 452 307 220 307 473"
)
_LARGEST: Final = 1.12


@dataclass(frozen=True, slots=True)
class Hand:
    """A family of faces, in the words of SVG, and whether narrow letters are made larger."""

    family: str
    swells: bool = False

    def size(self, text: str, size: float, *, bold: bool = False) -> float:
        """Return the size to letter a text in so that it keeps within the room left for ``size``.

        >>> PRINT.size("9 3/4", 10), PRINT.size("HI", 10), SCREEN.size("9 3/4", 10)
        (11.2, 10.2, 10)
        """
        room = advance(text, size, bold=bold)
        if not self.swells or not text or room <= 0:
            return size
        widths = _widths(bold)
        taken = sum(
            widths[ord(sign) - 32] * size / 1000 if 32 <= ord(sign) <= 126 else advance(sign, size, bold=bold)
            for sign in text
        )
        return round(size * min(_LARGEST, max(room / taken, 1.0)), 1)


SCREEN: Final = Hand(FAMILY)
PRINT: Final = Hand("'Libertinus Serif', serif", swells=True)


@cache
def _widths(bold: bool) -> tuple[int, ...]:
    return tuple(int(width) for width in (_SERIF_BOLD if bold else _SERIF).split())
