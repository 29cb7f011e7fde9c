"""Wrong turns that give a believable figure: each is shown to give another one than the publication prints."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from nesting.strength import combined, gap, head, lateral, withdrawal
from nesting.strength.factors import temperature
from nesting.strength.species import NotAStud, accepted, read_species
from nesting.strength.wood_screws import SCREWS, bending_yield, nominal_diameter, screw


def test_the_nominal_diameter_in_the_yield_equations_gives_another_figure() -> None:
    # NDS 12.3.7.1(c), p. 85 (transcribed): 89.9 with the root, 122.4 with the nominal diameter in its place
    shear = lateral.screw_shear(screw(10), 0.50, 0.5, 0.50, 1.9)
    wrong = min(lateral.yield_values(replace(shear, diameter=screw(10).diameter)).values())
    assert min(lateral.yield_values(shear).values()) == pytest.approx(89.9, abs=0.05)
    assert wrong == pytest.approx(122.4, abs=0.05)


def test_drywall_between_breaks_the_table() -> None:
    # NDS 12.3.1(a) requires contact (transcribed); No. 10 in spruce-pine-fir falls from 81 to 49 (derived)
    across = lateral.screw_shear(screw(10), 0.42, 0.703, 0.42, 1.9, gap=0.5)
    touching = replace(across, gap=0.0)
    assert min(lateral.yield_values(touching).values()) == pytest.approx(81.17, abs=0.01)
    assert gap.lateral_value(across)[1] == pytest.approx(49.32, abs=0.01)
    with pytest.raises(ValueError, match="contact"):
        lateral.yield_values(across)


def test_the_printed_withdrawal_table_lies_below_its_equation() -> None:
    # NDS Table 12.2B (transcribed): No. 14, 208 and 121 printed, 208.6 and 121.7 by Eq. 12.2-2
    assert withdrawal.wood_screw(0.55, 0.242) == pytest.approx(208.6, abs=0.05)
    assert withdrawal.wood_screw(0.42, 0.242) == pytest.approx(121.7, abs=0.05)


def test_k2_holds_one_and_two_re() -> None:
    # worked example A (read): G unequal, so that (2 + R_e) in place of (1 + 2 R_e) shows
    shear = lateral.Shear(0.131, 100_000, lateral.exact_bearing(0.50), 0.75, lateral.exact_bearing(0.42), 1.75)
    re = shear.main_bearing / shear.side_bearing
    bend = 2 * shear.bending_yield * shear.diameter**2 / (3 * shear.main_bearing * shear.main_length**2)
    slip = -1 + math.sqrt(2 * (1 + re) + bend * (2 + re))
    assert lateral.constants(shear)[1] == pytest.approx(0.9296, abs=5e-5)
    assert slip != pytest.approx(0.9296, abs=5e-3)


def test_k_d_of_a_nail_takes_its_diameter_and_no_more() -> None:
    assert lateral.reduction(0.17, "II") == 2.2
    assert lateral.reduction(0.19, "II") == pytest.approx(2.4)
    assert lateral.reduction(0.5, "Im", 45) == 4.5
    assert lateral.reduction(0.5, "IIIs", 0) == 3.2


def test_handbook_withdrawal_is_ultimate() -> None:
    ratio = withdrawal.ultimate_wood_screw(0.45, 0.19, 1.5) / withdrawal.capacity(
        withdrawal.wood_screw(0.45, 0.19), 1.5
    )
    assert ratio == pytest.approx(15_700 / 2_850)
    assert ratio > 5


def test_the_head_can_give_way_before_the_thread() -> None:
    # No. 8: head through .719 plywood 86 lb, thread 1 1/4 in spruce-pine-fir 103 lb (derived)
    through = head.pull_through(screw(8).head, 0.42, 0.719)
    thread = withdrawal.capacity(withdrawal.wood_screw(0.42, screw(8).diameter), 1.25)
    assert (round(through), round(thread)) == (86, 103)
    assert head.pull_through_flat(screw(8).head, 0.42, 0.719) < through


def test_head_pull_through_is_one_curve() -> None:
    # both branches of NDS Eq. 12.2-6 (transcribed) meet at t = 2.5 D_H
    at = 2.5 * 0.312
    assert head.pull_through(0.312, 0.5, at) == pytest.approx(head.pull_through(0.312, 0.5, at + 1e-12))


def test_a_little_shear_never_helps_a_pulled_screw() -> None:
    assert combined.ratio(10, 90, 400, 100) < combined.ratio(0, 90, 400, 100) == 0.9
    assert combined.worst_ratio(10, 90, 400, 100) == 0.9
    assert combined.worst_ratio(0, 0, 400, 100) == 0.0


def test_large_screws_bear_as_across_the_grain() -> None:
    # NDS Table 12.3.3 (transcribed): from 1/4 in on 6,100 G^1.45 / sqrt(D) across the grain, and R_d grows by K
    large = lateral.screw_shear(screw(24), 0.50, 0.719, 0.42, 3.0)
    assert large.side_bearing == lateral.bearing_of_large(0.50, 0.372, 90) < lateral.bearing(0.50)
    assert lateral.reduction(large.diameter, "IV", large.angle) == pytest.approx(3.2 * 1.25)


def test_hankinson_lies_between_along_and_across() -> None:
    along, across = lateral.bearing_of_large(0.5, 0.5, 0), lateral.bearing_of_large(0.5, 0.5, 90)
    assert across < lateral.bearing_of_large(0.5, 0.5, 45) < along
    assert lateral.hankinson(along, across, 0) == pytest.approx(along)
    assert lateral.hankinson(along, across, 90) == pytest.approx(across)


@pytest.mark.parametrize("gauge", SCREWS)
def test_every_diameter_follows_from_its_gauge(gauge: int) -> None:
    # D = 0.060 + 0.013 gauge (from memory) gives Table L3 (transcribed)
    assert nominal_diameter(gauge) == pytest.approx(screw(gauge).diameter)


def test_what_has_no_value_is_refused() -> None:
    with pytest.raises(ValueError, match=r"No\. 11 is not in the table"):
        screw(11)
    with pytest.raises(ValueError, match="above 150 F"):
        temperature(160)
    with pytest.raises(ValueError, match="has none"):
        bending_yield(0.5)
    with pytest.raises(ValueError, match="has none"):
        withdrawal.wood_screw(0.8, 0.19)


def test_a_screw_that_does_not_reach_carries_nothing() -> None:
    assert gap.lateral_value(lateral.screw_shear(screw(8), 0.42, 0.7, 0.42, 0.1))[1] == 0
    assert gap.lateral_value(lateral.screw_shear(screw(8), 0.42, 0.0, 0.42, 1.5)) == ("Is", 0.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("steel", "do not hold in metal studs"),
        ("Metal studs", "anchors with a tested rating"),
        ("masonry", "masonry or hollow walls"),
        ("concrete block", "masonry or hollow walls"),
        ("balsa", "is not a species of stud in the table"),
    ],
)
def test_what_is_no_wood_stud_is_refused_with_the_reason(text: str, words: str) -> None:
    with pytest.raises(NotAStud, match=words) as refused:
        read_species(text)
    assert "spruce-pine-fir" in refused.value.accepted


def test_an_unknown_stud_takes_the_lowest_value() -> None:
    unknown = read_species("unknown")
    assert not unknown.known
    assert all(unknown.gravity <= read_species(name).gravity for name in accepted().split(", "))


@pytest.mark.parametrize(
    ("text", "name"),
    [("SPF-S", "spruce-pine-fir (south)"), ("S.P.F.", "unknown"), ("Douglas Fir–Larch", "douglas fir-larch")],
)
def test_other_spellings(text: str, name: str) -> None:
    if name == "unknown":
        with pytest.raises(NotAStud):
            read_species(text)
    else:
        assert read_species(text).name == name
