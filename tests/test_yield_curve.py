"""The yield curve: cases worked by hand, monotone, and the solver's own count at fifty heights."""

from dataclasses import replace
from fractions import Fraction

import pytest

from nesting.compare.confirm import confirmed, fits_one_sheet
from nesting.trade.bevel import Bevel
from nesting.yield_curve import Division, Yield, rule_of_thumb, usual_range

RULE = Bevel(Fraction(23, 32), Fraction(1, 8), Fraction(45), Fraction(1, 32))
SHEET = Yield(Fraction(48), Fraction(0), RULE)
STEP = RULE.step


def test_hand_cases_of_a_48_inch_sheet():
    # by hand: a pair at 3 in takes 5 15/32, eight of them and seven kerfs 44 5/8; 3 3/8 are left, a kerf and 3 of them
    # a lone cleat. At 4 in a pair takes 7 15/32; six of them and five kerfs leave 2 9/16.
    assert SHEET.division(Fraction(3)) == Division(8, 1)
    assert SHEET.division(Fraction(4)) == Division(6, 0)
    assert (SHEET.count(Fraction(3)), SHEET.count(Fraction(4))) == (17, 12)
    # 3 3/16: a pair takes 5 27/32, eight and seven kerfs 47 5/8; one step taller 5 29/32 and 48 1/8
    assert SHEET.division(Fraction(51, 16)) == Division(8, 0)
    assert SHEET.count(Fraction(51, 16) + STEP) == SHEET.count(Fraction(13, 4)) == 15
    (sweet,) = [spot for spot in SHEET.sweet_spots(Fraction(2), Fraction(6), "in") if spot.count == 16]
    assert (sweet.tallest, sweet.pairs, sweet.lone) == (Fraction(51, 16), 8, 0)
    assert SHEET.tallest(17) == 3
    assert rule_of_thumb(Fraction(48), Fraction(3)) == 16


def test_counts_fall_and_spots_stand_where_they_fall():
    points = SHEET.curve(Fraction(2), Fraction(6))
    assert [height for height, _ in points] == [2 + n * STEP for n in range(129)]
    counts = [count for _, count in points]
    assert counts == sorted(counts, reverse=True)
    assert all(SHEET.count(height) == count for height, count in points)
    for spot in SHEET.sweet_spots(Fraction(2), Fraction(6), "in"):
        assert SHEET.count(spot.tallest) == spot.count > SHEET.count(spot.tallest + STEP)
        assert spot.no_trim is None
        assert spot.thin_kerf is not None
        assert spot.thin_kerf >= spot.tallest


def test_division_is_the_best_of_all():
    """Against every mix of pairs and lone cleats, with blades and bevels at which lone cleats win too."""
    lone_wins = Bevel(Fraction(1, 8), Fraction(1, 2), Fraction(60), Fraction(1, 32))
    for rule in (
        RULE,
        lone_wins,
        Bevel(Fraction(18), Fraction(3), Fraction(30), Fraction(1, 2)),
        replace(RULE, kerf=Fraction(0)),
    ):
        sheet = Yield(Fraction(48) if rule.thickness < 2 else Fraction(1220), Fraction(1, 8), rule)
        for n in range(1, 24):
            height = sheet.lowest + n * n * rule.step
            pair, lone, kerf = rule.pair(height, height).width, rule.lone(height).width, rule.kerf
            best = max(
                2 * pairs + lones
                for pairs in range(int(sheet.usable / pair) + 2)
                for lones in range(int(sheet.usable / lone) + 2)
                if pairs * pair + lones * lone + max(0, pairs + lones - 1) * kerf <= sheet.usable
            )
            assert sheet.count(height) == best, (rule, height)


def test_what_less_loss_buys():
    trimmed = replace(SHEET, trim=Fraction(1, 8))
    assert (
        trimmed.count(Fraction(3)) == 17
    )  # by hand: 47 3/4 are exactly what eight pairs, a lone cleat and eight kerfs take
    (sweet,) = [spot for spot in trimmed.sweet_spots(Fraction(3), Fraction(13, 4), "in") if spot.count == 16]
    assert sweet.no_trim == SHEET.tallest(16)
    assert sweet.thin_kerf == replace(trimmed, rule=replace(RULE, kerf=Fraction(3, 32))).tallest(16)
    thin = Yield(Fraction(1220), Fraction(0), Bevel(Fraction(18), Fraction(12, 5), Fraction(45), Fraction(1, 2)))
    assert thin.with_thin_kerf("mm") is None
    assert all(spot.thin_kerf is None for spot in thin.sweet_spots(Fraction(50), Fraction(150), "mm"))


def test_narrow_sheets_and_fine_steps():
    with pytest.raises(ValueError, match="bevel"):
        SHEET.count(Fraction(1, 2))
    narrow = replace(SHEET, width=Fraction(2))
    assert narrow.tallest(1) == 2
    assert narrow.tallest(2) is None or narrow.count(narrow.tallest(2)) >= 2
    assert narrow.curve(Fraction(3), Fraction(4)) == tuple((3 + n * STEP, 0) for n in range(33))
    assert narrow.sweet_spots(Fraction(3), Fraction(4), "in") == ()
    fine = Yield(Fraction(48), Fraction(0), replace(RULE, step=Fraction(1, 4096)))
    points = fine.curve(Fraction(3), Fraction(4))
    assert len(points) < 20
    assert all(fine.count(height) == count for height, count in points)
    assert usual_range((), "mm") == (50, 150)


def test_the_solver_agrees_at_fifty_heights():
    for n in range(50):
        height = 2 + n * 5 * STEP / 2 // STEP * STEP
        count = SHEET.count(height)
        assert fits_one_sheet(SHEET, height, count) is True, height
        assert fits_one_sheet(SHEET, height, count + 1) is False, height


def test_the_solver_confirms_every_sweet_spot():
    for spot in SHEET.sweet_spots(Fraction(3), Fraction(4), "in"):
        assert confirmed(SHEET, spot)
    sixteen = SHEET.sweet_spots(Fraction(51, 16), Fraction(51, 16), "in")[0]
    assert not confirmed(SHEET, replace(sixteen, tallest=sixteen.tallest + STEP))
    assert not confirmed(SHEET, replace(sixteen, tallest=sixteen.tallest - STEP))
