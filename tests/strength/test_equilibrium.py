"""Free bodies in balance, by sums of forces and moments written out here and not taken from the formulas."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.strength import gap, lateral, screw_groups
from nesting.strength.beams import Section, Trapezoid
from nesting.strength.hook import Hung, Tipped

NEAR = 1e-9


@st.composite
def sheared(draw: st.DrawFn) -> lateral.Shear:
    """Screws of any likely size between two members of any likely wood, with or without a gap."""
    return lateral.Shear(
        draw(st.floats(0.1, 0.24)),
        draw(st.floats(4e4, 2e5)),
        draw(st.floats(2_000, 8_000)),
        draw(st.floats(0.2, 2)),
        draw(st.floats(2_000, 8_000)),
        draw(st.floats(0.4, 3)),
        draw(st.floats(0, 1.5)),
    )


@given(sheared())
def test_screw_across_a_gap_is_in_balance(shear: lateral.Shear) -> None:
    qs, qm = shear.side_bearing * shear.diameter, shear.main_bearing * shear.diameter
    ls, lm, g = shear.side_length, shear.main_length, shear.gap
    bend = shear.bending_yield * shear.diameter**3 / 6
    values = gap.yield_values_across(shear)
    force = {mode: value * lateral.reduction(shear.diameter, mode) for mode, value in values.items()}

    def turned(q: float, length: float, load: float, arm: float) -> float:
        """Moment of a member in which a stiff screw turns, about a point ``arm`` from its face."""
        near = (length + load / q) / 2  # bears one way over ``near``, the other way over the rest
        assert q * near - q * (length - near) == pytest.approx(load)
        return q * near * (arm + near / 2) - q * (length - near) * (arm + (near + length) / 2)

    def hinged(q: float, load: float, arm: float) -> float:
        """Moment of a member in which the screw bends, about a point ``arm`` from its face: bearing less the hinge."""
        return load * (arm + load / q / 2) - bend

    scale = max(force.values()) * (ls + lm + g)
    for mode, moment in {
        "IV": hinged(qs, force["IV"], g) + hinged(qm, force["IV"], 0),
        "IIIs": turned(qs, ls, force["IIIs"], g) + hinged(qm, force["IIIs"], 0),
        "IIIm": hinged(qs, force["IIIm"], g) + turned(qm, lm, force["IIIm"], 0),
        "II": turned(qs, ls, force["II"], g) + turned(qm, lm, force["II"], 0),
    }.items():
        assert abs(moment) <= NEAR * scale, mode


@given(sheared())
def test_without_a_gap_both_forms_agree(shear: lateral.Shear) -> None:
    touching = lateral.Shear(
        shear.diameter,
        shear.bending_yield,
        shear.side_bearing,
        shear.side_length,
        shear.main_bearing,
        shear.main_length,
    )
    across = gap.yield_values_across(touching)
    for mode, value in lateral.yield_values(touching).items():
        assert across[mode] == pytest.approx(value, rel=1e-9), mode


@given(st.floats(0.1, 500), st.floats(0, 40), st.floats(1, 60), st.floats(10, 60), st.floats(0, 3))
def test_hung_item_is_in_balance(weight: float, out: float, foot: float, bevel: float, above: float) -> None:
    item = Hung(weight, out, foot, bevel, above)
    along, up = item.contact * math.sin(math.radians(bevel)), item.contact * math.cos(math.radians(bevel))
    scale = NEAR * (weight + along)
    assert abs(up - weight) <= scale
    assert abs(along - item.at_foot - item.at_back) <= scale
    assert abs(item.at_foot * foot - item.at_back * above - weight * out) <= scale * (foot + above + out)
    assert item.seated == (item.at_back >= -1e-12 * weight) or abs(item.at_back) < 1e-6 * weight
    assert item.design_thrust >= max(item.thrust, weight * out / foot) - scale


@given(st.floats(0.1, 500), st.floats(0.1, 500), st.floats(2, 8), st.floats(0.4, 1.2), st.floats(0.2, 0.9))
def test_tipped_cleat_is_in_balance(
    weight: float, thrust: float, height: float, thickness: float, share: float
) -> None:
    cleat = Tipped(weight, thrust, height, thickness, share * height)
    scale = NEAR * (weight + thrust) * height / (share * height)
    assert abs(cleat.pull - thrust - cleat.at_edge) <= scale
    top = height - thickness / 2
    assert abs(thrust * top + weight * thickness / 2 - cleat.pull * cleat.row) <= scale * height


@given(st.lists(st.tuples(st.floats(0.2, 8), st.integers(1, 3)), min_size=1, max_size=4), st.floats(1, 1000))
def test_rows_of_screws_hold_the_moment(rows: list[tuple[float, int]], moment: float) -> None:
    pulls = screw_groups.pull_of_rows(moment, rows)
    held = sum(pull * count * y for pull, (y, count) in zip(pulls, rows, strict=True))
    assert held == pytest.approx(moment, rel=NEAR)


@given(st.floats(1, 1000), st.floats(-30, 30), st.floats(1, 10), st.floats(1, 10))
def test_twisted_group_is_in_balance(load: float, arm: float, wide: float, high: float) -> None:
    places = [(x, y) for x in (-wide, wide) for y in (-high, 0.0, high)]
    carried = screw_groups.twisted(load, arm, places)
    assert sum(screw.down for screw in carried) == pytest.approx(load, rel=NEAR)
    assert abs(sum(screw.across for screw in carried)) <= NEAR * load * 31
    turned = sum(screw.down * x + screw.across * y for screw, (x, y) in zip(carried, places, strict=True))
    assert abs(turned - load * arm) <= NEAR * load * 31


@given(st.floats(1, 100), st.floats(1, 20), st.floats(1, 20), st.floats(1, 20))
def test_knee_brace_is_in_balance(load: float, at: float, out: float, down: float) -> None:
    brace, top = screw_groups.knee_brace(load, at, out, down)
    lever = out * down / math.hypot(out, down)  # of the brace about the wall
    assert brace * lever == pytest.approx(load * at, rel=NEAR)
    assert brace * out / math.hypot(out, down) == pytest.approx(top, rel=NEAR)


def test_trapezoid_by_slices() -> None:
    section = Trapezoid(3.0, 2.281, 0.719)
    slices = 20_000
    step = section.thick / slices
    strips = [
        (step * (n + 0.5), section.tall + (section.short - section.tall) * (n + 0.5) / slices) for n in range(slices)
    ]
    area = sum(width * step for _, width in strips)
    centre = sum(at * width * step for at, width in strips) / area
    inertia = sum((at - centre) ** 2 * width * step for at, width in strips)
    assert section.outward_modulus == pytest.approx(inertia / max(centre, section.thick - centre), rel=1e-6)
    assert section.upright_modulus == pytest.approx(Section(0.719, 2.281).modulus)
