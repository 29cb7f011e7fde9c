"""One thickness group from demand to layouts."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from nesting.demand import Cleat, Group, Panel, Stock
from nesting.solve.cutting import Cutting, cut_group, homeless
from nesting.solve.grid import Rules
from nesting.solve.stop import Stop

F = Fraction
RULES = Rules(F(1, 8), F(1, 32), F(45))


def _stock(name: str = "ply", **keys: Any) -> Stock:
    usual: dict[str, Any] = {"kind": "sheet", "thickness": F(23, 32), "trim": F(0), "price": F(60), "available": None}
    return Stock(name=name, **{**usual, "length": F(96), "width": F(48), "grain": True, **keys})


def _panel(name: str, length: Any, width: Any, quantity: int = 1, **keys: Any) -> Panel:
    usual: dict[str, Any] = {"grain": "length", "filler": False, "stocks": frozenset({0})}
    return Panel(name, F(length), F(width), quantity, **{**usual, **keys})


def _cut(group: Group, rules: Rules = RULES, seconds: float = 20) -> Cutting:
    letters = {stock.name: letter for stock, letter in zip(group.stocks, "ABC", strict=False)}
    return cut_group(group, rules, "in", letters, Stop.after(seconds), 0)


def _made(found: Cutting, number: int = 0) -> dict[str, int]:
    made: dict[str, int] = {}
    for layout in found.candidates[number]:
        for node in layout.tree.walk():
            if node.part is not None:
                made[node.part] = made.get(node.part, 0) + 1
    return made


def test_layouts_bear_the_letter_of_their_stock_and_a_number() -> None:
    group = Group((_stock("big"), _stock("half", length=F(48), price=F(35))), (_panel("p", 47, 47, 3),), ())
    group = replace(group, panels=(replace(group.panels[0], stocks=frozenset({0, 1})),))
    found = _cut(group)
    assert (found.cost, found.bound, found.proven) == (95, 95, True)
    assert [(layout.id, layout.stock) for layout in found.candidates[0]] == [("A1", "big"), ("B1", "half")]


def test_nothing_but_fillers_cuts_nothing() -> None:
    found = _cut(Group((_stock(),), (_panel("f", 9, 9, 3, filler=True),), ()))
    assert (found.candidates, found.cost, found.proven) == (((),), 0, True)


@pytest.mark.parametrize("rules", [RULES, replace(RULES, max_stages=3), replace(RULES, first_cut="rip")])
def test_fillers_come_from_what_is_left_and_no_more_than_asked(rules: Rules) -> None:
    panels = (_panel("p", 96, 24), _panel("f", 31, 11, 4, filler=True), _panel("g", 3, 2, 2, filler=True))
    found = _cut(Group((_stock(),), panels, ()), rules)
    assert (found.cost, found.proven) == (60, True)
    assert _made(found) == {"p": 1, "f": 4, "g": 2}
    greedy = (panels[0], replace(panels[1], quantity=99))
    assert _made(_cut(Group((_stock(),), greedy, ()), rules)) == {"p": 1, "f": 6}


def test_without_prices_the_least_plywood_is_used() -> None:
    both = frozenset({0, 1})
    group = Group((_stock("big", price=F(0)), _stock("small", length=F(40), price=F(0))), (_panel("p", 30, 40),), ())
    group = replace(group, panels=(replace(group.panels[0], stocks=both),))
    found = _cut(group)
    assert (found.cost, found.bound, found.proven) == (0, 0, True)
    assert [layout.stock for layout in found.candidates[0]] == ["small"]


def test_every_candidate_makes_all_that_is_asked_for_the_same_cost() -> None:
    panels = (_panel("p", 20, 12, 5, grain="any"), _panel("q", 31, 9, 4, grain="any"))
    cleats = (Cleat("c", "wall", F(3), F(30), 5, frozenset({0})),)
    found = _cut(Group((_stock(),), panels, cleats))
    assert found.proven
    for number in range(len(found.candidates)):
        assert _made(found, number) == {"p": 5, "q": 4, "c": 5}


def test_missing_pieces_are_named_but_not_those_that_plentiful_stock_takes() -> None:
    stocks = (_stock("offcut", kind="offcut", available=1, price=F(0)), _stock("strip", width=F(12)))
    wide, slim = _panel("wide", 90, 40, 3, stocks=frozenset({0, 1})), _panel("slim", 90, 5, 3, stocks=frozenset({0, 1}))
    found = _cut(Group(stocks, (wide, slim), ()))
    assert found.candidates == ()
    assert found.missing == ("2 of 'wide' cannot be cut: the stock of its thickness runs out",)


def test_homeless_are_pieces_too_large_and_those_the_limits_rule_out() -> None:
    panels = (
        _panel("fits", 96, 48),
        _panel("long", 97, 9),
        _panel("wide", 9, 49),
        _panel("turned", 48, 96, grain="any"),
    )
    cleats = (
        Cleat("short", "wall", F(3), F(96), 1, frozenset({0})),
        Cleat("huge", "wall", F(3), F(97), 1, frozenset({0})),
    )
    group = Group((_stock(),), panels, cleats)
    assert [piece.name for piece in homeless(group, RULES)] == ["long", "wide", "huge"]
    narrow = Group((_stock(width=F(2)),), (), cleats[:1])
    assert [piece.name for piece in homeless(narrow, RULES)] == ["short"]
    small = Group((_stock(),), (_panel("both", 20, 20), _panel("strip", 96, 20), _panel("end", 20, 48)), ())
    one = replace(RULES, max_stages=1)
    assert [piece.name for piece in homeless(small, one)] == ["both"]
    assert [piece.name for piece in homeless(small, replace(RULES, first_cut="rip"))] == ["end"]
    assert [piece.name for piece in homeless(small, replace(RULES, first_cut="crosscut"))] == ["strip"]


def test_progress_is_told_in_money() -> None:
    told: list[tuple[Fraction | None, Fraction]] = []
    group = Group((_stock(price=F("86.5")),), (_panel("p", 90, 40, 2),), ())
    cut_group(
        group, RULES, "in", {"ply": "A"}, Stop.after(20), 0, lambda cost, bound, phase: told.append((cost, bound))
    )
    assert told[-1] == (173, 173)


def test_nothing_is_proven_of_lengths_finer_than_the_search_can_hold() -> None:
    odd = F(1, 10**7 + 19)
    found = _cut(Group((_stock(),), (_panel("p", 48 + odd, 40, 2),), ()))
    assert (found.cost, found.bound, found.proven, found.exact) == (120, 0, False, False)
    assert _made(found) == {"p": 2}
    assert found.candidates[0][0].tree.pieces[0].length in (48 + odd, 96)
