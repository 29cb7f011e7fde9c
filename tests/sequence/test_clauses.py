"""The rules of the saw, clause by clause: what the rule is called, and that plans keep it or say why not.

Widths: shop safety handbooks, as read (push stick below 6 in of width or 12 in of length, push block below 2 in; 12 in
along the fence). Which way the blade leans: woodworking handbooks, as read. Breaking sheets down and straight edges:
woodworking magazines, as read. The rest is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawn_by_hand import SAW, F, blank, layout

from nesting.check.saw_warnings import ASKED
from nesting.errors import CannotBeDone
from nesting.sequence import plan_work

TRIMMED = replace(SAW, edge_trim=F("1/4"))
INNER = ("crosscut", [(20, "part"), (0, "waste")])


def told(layouts, saw=SAW, **options):
    """Return the codes of the cautions with the numbers of their steps in words, and the steps."""
    work = plan_work(layouts, saw, **options)
    return {caution.code: caution for caution in work.sequence.cautions}, work.sequence.steps


def test_rip_capacity():
    """Nothing is set wider than the fence opens; where no other saw is at hand the refusal says so."""
    wide = layout("A1", 90, 80, ("rip", [(40, "part"), (0, "waste")]))
    _, steps = told([wide])
    assert all(step.setting <= 30 for step in steps if step.station == "table saw")
    with pytest.raises(CannotBeDone, match="the fence opens to 30 in, and there is no guided saw"):
        told([wide], replace(SAW, breakdown_saw=False))


def test_full_sheet():
    """Full sheets go to the guided saw first, whichever side is measured; without one a helper is asked for."""
    for size in (6, 41):
        sheet = layout("A1", 96, 48, ("rip", [(size, "part"), (0, "waste")]))
        codes, steps = told([sheet])
        assert [step.station for step in steps] == ["breakdown saw"]
        assert codes["full_sheet"].where == "step 1"
        codes, steps = told([sheet], replace(SAW, breakdown_saw=False))
        assert [step.station for step in steps] == ["table saw"]
        assert "have a helper" in codes["full_sheet_at_fence"].text


def test_narrow_rip():
    """Nothing below ``narrowest_rip`` runs against the fence where another way is left, else it says what to do."""
    codes, steps = told([layout("A1", 30, 10, ("rip", [(1, "part"), (0, "waste")]))])
    assert (steps[0].station, float(steps[0].setting), steps[0].against) == ("table saw", 8.875, "high")
    assert "narrow_rip" not in codes
    codes, steps = told([layout("A1", 30, F("2.25"), ("rip", [(1, "part"), (1, "part"), (0, "waste")]))])
    assert "auxiliary fence and a push block" in codes["narrow_rip"].text


@pytest.mark.parametrize(
    ("width", "code"), [(6, None), (F("5.5"), "push_stick"), (2, "push_stick"), (F("1.75"), "push_block")]
)
def test_push_stick(width, code):
    codes, _ = told([layout("A1", 30, 20, ("rip", [(width, "part"), (0, "waste")]))])
    assert {"push_stick", "push_block"} & codes.keys() == ({code} if code else set())


def test_short_piece():
    """A piece shorter than 12 in along the fence is turned and cut on the sled; if that is too small, it is said."""
    short = layout("A1", 10, 8, ("rip", [(4, "part"), (0, "waste")]))
    codes, steps = told([short])
    assert steps[0].station == "crosscut sled"
    assert "too short for the fence" in codes["turned_on_sled"].text
    codes, _ = told([short], replace(SAW, crosscut_capacity=F(6), breakdown_saw=False))
    assert "may swing into the blade" in codes["short_piece"].text


def test_fence_crosscut():
    """Only with 12 in or more on the fence, no less than the setting, and not at all where the switch is off."""
    wide = layout("A1", 60, 20, ("crosscut", [(18, "part"), (0, "waste")]))
    small = replace(SAW, crosscut_capacity=F(10))
    codes, steps = told([wide], small)
    assert (steps[0].station, codes["fence_crosscut"].where) == ("table saw", "step 1")
    for saw, piece in ((replace(small, fence_crosscuts=False), wide), (small, layout("A1", 60, 11, wide_cut(18)))):
        _, steps = told([piece], saw)
        assert steps[0].station == "breakdown saw"


def wide_cut(size):
    return ("crosscut", [(size, "part"), (0, "waste")])


def test_fence_never_a_stop():
    saw = replace(SAW, fence_crosscuts=False)
    codes, steps = told([layout("A1", 40, 30, ("rip", [(6, INNER), (0, "waste")]))], saw)
    assert {step.station for step in steps} == {"table saw", "crosscut sled"}
    assert "never the stop for the sled" in codes["fence_never_a_stop"].text


def test_rough_reference():
    """A factory edge that is to be trimmed is made straight before anything is measured from it."""
    kept = ("rip", [(F("0.125"), "waste"), (9, "part"), (8, "part"), (0, "waste")])
    codes, steps = told([layout("A1", 48, 30, kept)], TRIMMED)
    assert (steps[0].against, steps[0].makes[0]) == ("high", "A1.1")
    assert all(step.piece != "A1" for step in steps[1:])
    assert [code for code in codes if code == "rough_reference" and codes[code].where != "step 1"] == []
    assert "factory_reference" in told([layout("A1", 48, 30, ("rip", [(9, "part"), (0, "waste")]))])[0]


def test_bevel_side():
    """Leaning away: which cleat is held, which falls free. Leaning toward: the remedy, the settings for both sides."""
    codes, steps = told([blank()])
    assert steps[0].leans == "away"
    assert (
        "the cleat at the fence keeps its short face on the table, the other one falls free" in codes["bevel_side"].text
    )
    codes, steps = told([blank()], replace(SAW, fence_side="left"))
    assert steps[0].leans == "toward"
    assert "move the fence to the right side" in codes["bevel_side"].text
    assert "3 in as it is, 2 9/32 in with the fence on the right" in codes["bevel_side"].text


def test_thin_strip():
    """Strips of 1 in: one setting for all of them, and the caution forbids creeping the fence."""
    strips = ("rip", [(1, "part")] * 4 + [(0, "waste")])
    codes, steps = told([layout("A1", 30, 11, strips)])
    assert [(step.setup, step.station, float(step.setting)) for step in steps] == [(1, "table saw", 1)] * 4
    assert codes["thin_strip"].where == codes["push_block"].where == "steps 1-4"
    assert "Never move the fence over strip by strip" in codes["thin_strip"].text


def test_outfeed_support():
    assert "outfeed_support" not in told([layout("A1", 36, 20, ("rip", [(7, "part"), (0, "waste")]))])[0]
    assert "outfeed_support" in told([layout("A1", 37, 20, ("rip", [(7, "part"), (0, "waste")]))])[0]


def test_takes_what_is_left():
    """The last strip gets the slack; an offcut takes what is left rather than a part; else it is said."""
    codes, _ = told([layout("A1", 48, 20, ("rip", [(0.5, "waste"), (9, "part"), (8, "part")]))])
    assert "takes_what_is_left" not in codes
    codes, steps = told([layout("A1", 48, F("17.125"), ("rip", [(8, "offcut"), (9, "part")]))])
    assert float(steps[0].setting) == 9
    assert "takes_what_is_left" not in codes
    codes, _ = told([layout("A1", 48, F("17.125"), ("rip", [(8, "part"), (9, "part")]))])
    assert "measure it before the last cut" in codes["takes_what_is_left"].text


def test_test_cut():
    codes, _ = told([blank()])
    text = codes["test_cut"].text
    for words in (
        "Before the first bevel rip",
        "Measure its thickness",
        "correct the tilt",
        "the kerf is not",
        "plan anew",
    ):
        assert words in text


CLAUSES = {
    "rip capacity": test_rip_capacity,
    "full sheets to the guided saw first": test_full_sheet,
    "nothing narrower than narrowest_rip against the fence": test_narrow_rip,
    "push stick or block below the published widths": test_push_stick,
    "no piece shorter than shortest_against_fence along the fence": test_short_piece,
    "crosscuts against the fence only of wide pieces, a switch turns them off": test_fence_crosscut,
    "the fence never as a stop for the sled": test_fence_never_a_stop,
    "a reference edge must be straight, its trim comes first": test_rough_reference,
    "blade leaning away; leaning toward: the remedy and both settings; what is held, what falls": test_bevel_side,
    "thin strips from the far side or with one setting repeated": test_thin_strip,
    "long pieces need outfeed support": test_outfeed_support,
    "the last strip carries the error, so it gets the slack": test_takes_what_is_left,
    "a test cut before the first bevel rip": test_test_cut,
}
IN_SAW_RULES = {"rip_capacity", "narrow_rip", "short_piece"}
"""What the checker keeps as faults; all else it finds anew as warnings."""


@pytest.mark.parametrize("clause", CLAUSES)
def test_the_checker_replays_every_clause_under_its_name(clause):
    rule = CLAUSES[clause].__name__.removeprefix("test_")
    names = {*ASKED, *IN_SAW_RULES, "fence_never_a_stop", "test_cut", "full_sheet"}
    assert rule in names
