"""Load checks worked by hand on plain facts; every free body is summed up here and not taken from the checks."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.strength import beams
from nesting.strength.species import GRAVITIES, read_species
from nesting.wall import cleat_load, holder_load, shelf_load
from nesting.wall.fastening import at_stud, into_edge, into_face
from nesting.wall.load_facts import Board, Driven, HolderFacts, JointScrews, WallFacts
from nesting.wall.load_rows import Check
from nesting.wall.load_totals import totals
from tests.wall.loaded import WORDS, piece, shelf, wall

NEAR = 1e-9


def every(holder: HolderFacts, on: WallFacts) -> list[Check]:
    here = piece(holder)
    return [
        cleat_load.reach(on, WORDS),
        *holder_load.holder_checks(holder, on, WORDS),
        *shelf_load.shelf_checks(holder, on, WORDS),
        *cleat_load.piece_checks(here, on, WORDS),
        *totals([here], {1: [holder]}, on, WORDS),
    ]


# -- by hand


def test_screw_at_a_stud_as_worked_out_beside_the_formulas() -> None:
    # two No. 10 in spruce-pine-fir through 1/2 in drywall carry 50 lb: V 25 and T 50 each, ratio 0.599 (derived); here
    # with the real penetration of a 3 in screw, 1.781 in, and its thread of 1.781 in in place of 1.5 in
    on = wall(per_stud=2)
    lone = piece(shelf(width=1e-6, out=4.0, pad=8.0), studs=(20.0, 36.0))
    shear, pull = cleat_load.worst_at_stud(replace(lone, rail=replace(lone.rail, length=36.0)), on)
    assert shear == pytest.approx(25 * 36 / 16)  # a lever: the whole load at the low end, 20 in past the stud
    # T = W h / y at 45 degrees, 4 in high, screws at 2; of two the upper is pulled harder
    assert pull == pytest.approx(cleat_load.pull_of_screw(2 * 50 * 36 / 16, on))
    holds = at_stud(on)
    assert holds.thread == pytest.approx(0.9 * 2850 * 0.42**2 * 0.190 * 1.781)
    # through .703 ply and a 1/2 in gap 49.32 x 0.9 = 44.39 (derived); there the screw bends in the stud, however deep
    assert at_stud(wall(thickness=0.703)).sideways == pytest.approx(44.39, abs=0.005)
    assert holds.mode == "IIIs"
    assert holds.head < 99.80 * 0.9  # flat heads: their depth is taken off


def test_weight_and_thrust_of_one_holder_between_two_studs() -> None:
    on, holder = wall(), shelf(width=8.0, out=3.0, pad=7.0)
    here = piece(holder, studs=(4.0, 20.0), length=24.0)
    # the holder at the low end: its middle is 16 in from the far stud, 16/16 of 50 lb at the near one
    shear, pull = cleat_load.worst_at_stud(here, on)
    assert shear == pytest.approx(50.0, rel=0.02)
    assert shear >= 50.0
    assert pull == pytest.approx(100.0, rel=0.02)
    # outward W (2 s - w) / 8 = 150 lb in both ways; the overhang's 50 x 4 x ... is less
    bent = cleat_load.bends(here, on, WORDS)
    section = beams.Trapezoid(4.0, 4.0 - 0.719, 0.719)
    stress = 150 / section.outward_modulus + 2 * 150 / section.upright_modulus
    assert bent.demand == pytest.approx(stress, rel=1e-9)
    assert bent.capacity == pytest.approx(0.9 * 845 / 1.033)


def test_hook_by_hand() -> None:
    on = wall()
    safe = holder_load.seated(shelf(), on, WORDS)
    assert (safe.demand, safe.capacity) == (4.719, pytest.approx(7.36))
    assert "stays seated" in safe.sentence
    loose = holder_load.seated(shelf(out=9.0), on, WORDS)
    assert loose.ratio == pytest.approx(9 / 7.36)
    assert "friction alone" in loose.sentence


def test_holder_cleat_by_hand() -> None:
    # foot 50 x 4.719 / 7.36 = 32.06; about the cleat's upper edge 32.06 x (3 - .3595) + 50 x .3595, screws at 1.1405
    check = holder_load.cleat_screws(shelf(), wall(), WORDS)
    pull = (50 * 4.719 / 7.36 * (3 - 0.3595) + 50 * 0.3595) / ((3 - 0.719) / 2) / 4
    assert check.demand == pytest.approx(math.hypot(12.5, pull))
    holds = into_face(Driven(6, 1.25, 4), 0.719, 0.719)
    assert holds.point == pytest.approx(0.531)
    assert holds.thread == pytest.approx(0.9 * 2850 * 0.42**2 * 0.138 * 0.531)
    assert check.ratio == pytest.approx((12.5**2 / holds.sideways + pull**2 / holds.thread) / math.hypot(12.5, pull))


def test_shelf_by_hand() -> None:
    board = Board(32.0, 10.0)
    holder = shelf(width=32.0, contents=25 / 12 * 32, own=0.0, board=board)
    (span,) = shelf_load.spans_of(holder, board)
    assert span.load == pytest.approx(25 / 12 * 32 + 32 * 10 / 144 * 0.719 * 3.5)
    bare = replace(span, load=25 / 12 * 32)
    # Wood Handbook Eq. 9-2 worked out beside the formulas: .0765 in at E 1.2 million, 309.5 psi (derived)
    assert bare.bending == pytest.approx(309.5, abs=0.05)
    bend = 5 / 384 * bare.load * 32**3 / (1.01e6 * 0.30975)
    shear = 1 / 8 * bare.load * 32 / (1.01e6 / 16 * 5 / 6 * 7.19)
    assert bare.sag == pytest.approx(bend + shear, rel=1e-4)
    assert bend * 1.01 / 1.2 == pytest.approx(0.0765, abs=5e-5)


def test_joint_by_hand() -> None:
    # rows: 5 screws at .3595; 3 a gusset at .719 + 7.281 / 6, / 2, x 5/6
    holder = shelf()
    rows = shelf_load.rows_of_joint(holder)
    assert rows == [
        (pytest.approx(0.3595), 5),
        (pytest.approx(0.719 + 7.281 / 6), 2),
        (pytest.approx(0.719 + 7.281 / 2), 2),
        (pytest.approx(0.719 + 7.281 * 5 / 6), 2),
    ]
    lever = 4.719 - 0.719 / 2 - 0.719
    assert shelf_load.lever(holder, wall()) == pytest.approx(lever)
    high = rows[3][0]
    pull = 50 * lever * high / sum(count * y**2 for y, count in rows)
    check = shelf_load.joint(holder, wall(), WORDS)
    assert check.demand == pytest.approx(math.hypot(50 / 11, pull))


def test_without_gussets_the_joint_is_the_first_to_go() -> None:
    bare = shelf(gusset=None, joints=(JointScrews("back", "shelf", Driven(6, 2.0, 5)),))
    checks = every(bare, wall())
    worst = max((check for check in checks if check.item == "shelf"), key=lambda check: check.ratio)
    assert worst.check == shelf_load.JOINT
    assert worst.ratio > 1 > shelf_load.joint(shelf(), wall(), WORDS).ratio


def test_box_bottom_shares_its_load_both_ways() -> None:
    bottom = Board(22.562, 6.562)
    ends = JointScrews("back", "end", Driven(6, 2.0, 4))
    floor = JointScrews("back", "bottom", Driven(6, 2.0, 5))
    box = shelf(style="box", gusset=None, board=bottom, joints=(ends, floor))
    along, across = shelf_load.spans_of(box, bottom)
    assert along.load + across.load == pytest.approx(40 + 22.562 * 6.562 / 144 * 0.719 * 3.5)
    assert along.sag == pytest.approx(across.sag)
    assert shelf_load.rows_of_joint(box) == [(pytest.approx(0.3595), 5), (2.5, 2), (7.5, 2)]
    names = [check.check for check in every(box, wall())]
    assert "bottom hangs in its sides" in names
    assert "bottom bends" in names


def test_bracket_and_rack_by_hand() -> None:
    arm = JointScrews("back", "arm", Driven(6, 2.0, 4))
    bracket = shelf(style="bracket", gusset=None, board=Board(9.28, 6.0), joints=(arm,))
    (span,) = shelf_load.spans_of(bracket, Board(9.28, 6.0))
    load = (40 + 9.28 * 6.0 / 144 * 0.719 * 3.5) / 2
    assert span.bending == pytest.approx(load * 9.28 / 2 / (0.719 * 36 / 6))
    assert shelf_load.rows_of_joint(bracket) == [(1.5, 2), (4.5, 2)]
    rack = shelf(style="rack", gusset=(3.0, 7.281), board=Board(24.0, 7.281, lost_deep=2.0, lost_wide=6.0))
    (span,) = shelf_load.spans_of(rack, Board(24.0, 7.281, lost_deep=2.0, lost_wide=6.0))
    assert span.section.width == pytest.approx(5.281)
    assert shelf_load.rows_of_joint(rack)[-1] == (pytest.approx(3.3595), 5)


def test_plywood_edges_hold_half() -> None:
    side = into_face(Driven(6, 2.0, 1), 0.719, 10.0)
    edge = into_edge(Driven(6, 2.0, 1), 0.719)
    assert edge.thread == pytest.approx(side.thread / 2)
    assert edge.sideways == pytest.approx(0.67 * side.sideways)


def test_the_usual_screw_falls_short() -> None:
    check = cleat_load.reach(wall(gauge=8, length=2.5, thickness=23 / 32, between=5 / 8, per_stud=2), WORDS)
    assert check.sentence == "Two No. 8 × 2 1/2 in screws reach only 1 5/32 in into the stud; use 3 in."
    one = cleat_load.reach(wall(gauge=8, length=2.5, thickness=23 / 32, between=5 / 8), WORDS)
    assert one.sentence.startswith("One No. 8 × 2 1/2 in screw reaches only 1 5/32 in into the stud")
    none = cleat_load.reach(wall(length=3.5, between=2.5), WORDS)
    assert "no screw sold is long enough" in none.sentence
    assert cleat_load.reach(wall(length=1.0), WORDS).ratio == 999


def test_of_two_screws_the_upper_is_pulled_harder() -> None:
    # 4 in high, short face 3.281: No. 10 stand 1.9 in apart, 10 D; at 1.05 and 2.95
    pull = cleat_load.pull_of_screw(100.0, wall(gauge=10, per_stud=2))
    assert pull == pytest.approx(200 * 2.95 / (1.05**2 + 2.95**2))
    # 3 in high, short face 2.281: No. 8 have room for 2.281 - .82 = 1.461
    pull = cleat_load.pull_of_screw(100.0, wall(gauge=8, per_stud=2, wall_height=3.0))
    assert pull == pytest.approx(150 * 2.2305 / (0.7695**2 + 2.2305**2))
    assert cleat_load.pull_of_screw(100.0, wall()) == 100.0


def test_a_screw_that_does_not_reach_is_told() -> None:
    check = cleat_load.at_worst_stud(piece(shelf()), wall(length=1.25), WORDS)
    assert (check.capacity, check.ratio) == (0, 999)
    assert check.governs == "the screw does not reach"


def test_a_head_deeper_than_its_cleat_holds_nothing() -> None:
    check = cleat_load.heads(piece(shelf()), wall(thickness=0.1, gauge=24), WORDS)
    assert (check.capacity, check.ratio) == (0, 999)
    assert "far more than 100 %" in check.sentence


def test_row_and_wall_totals() -> None:
    one, two = shelf(), shelf(name="other", contents=10.0)
    checks = totals([piece(one), replace(piece(), name="row 2 a", row=2)], {1: [one, two]}, wall(), WORDS)
    first, second, whole = checks
    assert (first.demand, second.demand, whole.demand) == (70.0, 0.0, 70.0)
    assert whole.capacity == pytest.approx(first.capacity + second.capacity)
    assert second.ratio == 0
    # three studs, each 1/3 of 70 lb: V 23.33, T 2 V
    holds = at_stud(wall())
    assert first.ratio == pytest.approx(holds.ratio(70 / 3, 140 / 3))


# -- free bodies of whatever is computed


@st.composite
def holders(draw: st.DrawFn) -> HolderFacts:
    t = draw(st.sampled_from([0.469, 0.719]))
    depth, height = draw(st.floats(3, 14)), draw(st.floats(6, 20))
    gusset = draw(st.sampled_from([None, (min(depth - t, height - t), depth - t)]))
    return shelf(
        width=draw(st.floats(4, 36)),
        height=height,
        depth=depth,
        thickness=t,
        contents=draw(st.floats(0, 120)),
        own=draw(st.floats(1, 15)),
        out=0.36 + (depth + t) / 2,
        pad=height - 2.6405,
        board=Board(24.0, depth - t),
        gusset=gusset,
        joints=shelf().joints if gusset else shelf().joints[:1],
    )


WALLS = st.builds(
    wall,
    bevel=st.sampled_from([30.0, 45.0, 60.0]),
    between=st.sampled_from([0.0, 0.5, 1.0]),
    gauge=st.sampled_from([8, 10, 14]),
    per_stud=st.integers(1, 2),
    species=st.sampled_from([read_species(name) for name in GRAVITIES]),
)


@settings(max_examples=60, deadline=None)
@given(holders(), WALLS)
def test_every_case_is_in_balance(holder: HolderFacts, on: WallFacts) -> None:
    tan = math.tan(math.radians(on.bevel))
    item = holder.hung(on.bevel)
    scale = NEAR * max(1.0, holder.weight) * max(1.0, holder.out) * 10
    # the holder: across and up the bevel, foot, back
    assert abs(item.contact * math.cos(math.radians(on.bevel)) - holder.weight) <= scale
    assert abs(item.thrust - item.at_foot - item.at_back) <= scale
    assert abs(item.at_foot * holder.pad - holder.weight * holder.out) <= scale
    # its cleat about its upper edge: what the screws pull, the bevel less the wall's pressure, the weight
    cleat = holder_load.tipping(holder, on)
    rise = on.thickness * tan
    low = on.holder_height - rise / 2
    turned = cleat.pull * (on.holder_height - rise) / 2 - item.at_foot * low - holder.weight * on.thickness / 2
    assert abs(turned) <= scale * 10
    # the wall cleat about its lower edge
    tipped = cleat_load.tipped(holder, on)
    thrust = holder.weight * max(tan, holder.out / holder.pad)
    high = on.wall_height - rise / 2
    turned = tipped.pull * on.wall_height / 2 - thrust * high - holder.weight * on.thickness / 2
    assert abs(turned) <= scale * 10
    assert abs(tipped.pull - thrust - tipped.at_edge) <= scale
    # two screws above each other hold the same moment
    row = on.wall_height / 2
    if on.per_stud == 2:
        apart = max(0.0, min(10 * on.size.diameter, on.wall_height - rise - 5 * on.size.diameter)) / 2
        upper = cleat_load.pull_of_screw(tipped.pull, on)
        lower = upper * (row - apart) / (row + apart)
        assert abs(upper * (row + apart) + lower * (row - apart) - tipped.pull * row) <= scale * 10
    # the joint with the back: pulls and heights against weight and lever
    rows = shelf_load.rows_of_joint(holder)
    moment = holder.weight * shelf_load.lever(holder, on)
    share = moment / sum(count * y**2 for y, count in rows)
    assert abs(sum(share * y * count * y for y, count in rows) - moment) <= scale * 10
    # the board: reactions against load, moment in the middle from the reactions
    assert holder.board is not None
    for span in shelf_load.spans_of(holder, holder.board):
        bent = span.bending * span.section.modulus
        if span.case == "uniform":
            assert abs(bent - (span.load / 2 * span.length / 2 - span.load / 2 * span.length / 4)) <= scale * 10
        else:
            assert abs(bent - span.load * span.length / 2) <= scale * 10


@settings(max_examples=40, deadline=None)
@given(holders(), WALLS, st.floats(0, 60), st.floats(0, 6), st.sampled_from(list(GRAVITIES)))
def test_no_change_for_the_worse_helps(
    holder: HolderFacts, on: WallFacts, more: float, deeper: float, name: str
) -> None:
    def ratios(one: HolderFacts, at: WallFacts) -> dict[tuple[str, str], float]:
        return {(check.item, check.check): check.ratio for check in every(one, at)}

    now = ratios(holder, on)
    heavier = ratios(replace(holder, contents=holder.contents + more), on)
    board = Board(24.0, holder.board.width + deeper) if holder.board else None
    further = replace(
        holder, depth=holder.depth + deeper, out=holder.out + deeper / 2, contents=holder.contents, board=board
    )
    out = ratios(further, on)
    other = read_species(name)
    light, dense = sorted((on.species, other), key=lambda species: species.gravity)
    in_light, in_dense = (ratios(holder, replace(on, species=species)) for species in (light, dense))
    for key, ratio in now.items():
        assert ratio <= heavier[key] * (1 + 1e-9), key
        assert in_dense[key] <= in_light[key] * (1 + 1e-9), key
        board_alone = key[1].startswith("shelf ")  # a deeper board spreads the same contents over more wood
        assert board_alone or ratio <= out[key] * (1 + 1e-9), key
    assert shelf_load.joint(further, on, WORDS).demand >= shelf_load.joint(holder, on, WORDS).demand * (1 - 1e-9)
