"""More load never helps, denser wood never hurts, more depth never helps."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from nesting.strength import beams, combined, gap, head, lateral, panels, withdrawal
from nesting.strength.hook import Hung, Tipped
from nesting.strength.wood_screws import SCREWS

GRAVITY = st.floats(0.31, 0.73)
SIZE = st.sampled_from(list(SCREWS.values()))
LESS = 1 + 1e-12


@given(GRAVITY, GRAVITY, SIZE, st.floats(0, 3))
def test_denser_wood_never_pulls_out_sooner(one: float, other: float, size, thread: float) -> None:
    light, dense = sorted((one, other))
    at = [withdrawal.capacity(withdrawal.wood_screw(g, size.diameter), thread) for g in (light, dense)]
    assert at[0] <= at[1] * LESS
    through = [head.pull_through(size.head, g, 0.7) for g in (light, dense)]
    assert through[0] <= through[1] * LESS


@given(GRAVITY, GRAVITY, GRAVITY, SIZE, st.floats(0.2, 1.5), st.floats(0.5, 3), st.floats(0, 1), st.booleans())
def test_denser_wood_never_yields_sooner(
    one: float, other: float, third: float, size, side: float, point: float, between: float, at_side: bool
) -> None:
    light, dense = sorted((one, other))
    pairs = [(g, third) if at_side else (third, g) for g in (light, dense)]
    loads = [gap.lateral_value(lateral.screw_shear(size, s, side, m, point, between))[1] for s, m in pairs]
    assert loads[0] <= loads[1] * (1 + 1e-9)


@given(GRAVITY, SIZE, st.floats(0.2, 1.5), st.floats(0.5, 3), st.floats(0, 1), st.floats(0, 1))
def test_a_wider_gap_or_a_shorter_reach_never_helps(
    gravity: float, size, side: float, point: float, between: float, more: float
) -> None:
    shear = lateral.screw_shear(size, 0.42, side, gravity, point, between)
    load = gap.lateral_value(shear)[1]
    assert gap.lateral_value(replace(shear, gap=between + more))[1] <= load * (1 + 1e-9)
    assert gap.lateral_value(replace(shear, main_length=max(0.0, shear.main_length - more)))[1] <= load * (1 + 1e-9)


@given(st.floats(0, 500), st.floats(0, 500), st.floats(0, 500), st.floats(0, 500), st.floats(1, 500), st.floats(1, 500))
def test_more_load_never_helps_a_screw(v: float, t: float, dv: float, dt: float, z: float, w: float) -> None:
    assert combined.worst_ratio(v, t, z, w) <= combined.worst_ratio(v + dv, t + dt, z, w) * (1 + 1e-9)


@given(st.floats(1, 200), st.floats(0, 100), st.floats(0, 20), st.floats(0, 10), st.floats(2, 30), st.floats(20, 60))
def test_more_weight_or_depth_never_helps_the_hook(
    weight: float, more: float, out: float, further: float, foot: float, bevel: float
) -> None:
    item = Hung(weight, out, foot, bevel)
    heavier, deeper = Hung(weight + more, out, foot, bevel), Hung(weight, out + further, foot, bevel)
    for worse in (heavier, deeper):
        assert item.design_thrust <= worse.design_thrust * LESS
        assert item.at_foot <= worse.at_foot * LESS
        pulls = [Tipped(one.weight, one.design_thrust, 3, 0.719, 1.5, bevel).pull for one in (item, worse)]
        assert pulls[0] <= pulls[1] * LESS
    assert item.seated or not deeper.seated


@given(st.floats(1, 200), st.floats(0, 100), st.floats(4, 60), st.floats(0, 20), st.floats(2, 20))
def test_more_load_or_span_never_helps_a_shelf(
    load: float, more: float, span: float, longer: float, depth: float
) -> None:
    shelf, modulus = beams.Section(depth, 0.7), panels.STIFFNESS / 16
    sag = beams.deflection("uniform", load, span, panels.STIFFNESS, shelf, modulus)
    for worse in ((load + more, span), (load, span + longer)):
        assert sag <= beams.deflection("uniform", *worse, panels.STIFFNESS, shelf, modulus) * LESS
        assert beams.moment("uniform", load, span) <= beams.moment("uniform", *worse) * LESS
