"""The code that numba compiles for boxes of part sets, run as plain Python: the same sets as the plain twin finds."""

from __future__ import annotations

import pytest

from nesting.solve import box_kernels, box_store
from nesting.solve.boxes import Full, OutOfTime
from nesting.solve.exact_pricing import pricer, search
from nesting.solve.problem import Bin, Item, Problem
from nesting.solve.stop import Stop

WAYS = ((True, True),)
JOBS = (
    Problem((Bin(16, 14, 1),), (Item(5, 4, 2, WAYS), Item(7, 9, 2, WAYS), Item(3, 2, 2, ((True, False),)))),
    Problem((Bin(10, 10, 1),), (Item(6, 6, 2, WAYS), Item(4, 10, 1, WAYS), Item(3, 3, 3, WAYS))),
)


@pytest.mark.parametrize("problem", JOBS)
def test_uncompiled_kernels_find_what_the_plain_twin_finds(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(box_store, "load", lambda: (box_kernels.extend, box_kernels.search_sets))
    plain, kernels = pricer(problem, 0, compiled=False), pricer(problem, 0, compiled=True)
    assert kernels.fast is not None
    profits = [item.length * item.width for item in problem.items]
    stop = Stop.after(60)
    for threshold, climb in ((1, True), (60, False)):
        found, wanted = (search(priced, profits, threshold, stop, climb=climb) for priced in (kernels, plain))
        assert found
        assert found == wanted[len(wanted) - len(found) :]
        assert climb or len(found) == len(wanted)
        for _, parts in found[-2:]:
            assert kernels.pattern(parts) is not None


NINE = Problem((Bin(20, 18, 1),), tuple(Item(5 + i, 11 - i % 4, 1, WAYS) for i in range(9)))


def test_a_store_that_is_full_is_emptied_and_the_search_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(box_store, "load", lambda: (box_kernels.extend, box_kernels.search_sets))
    profits = [item.length * item.width for item in NINE.items]
    wanted = search(pricer(NINE, 0, compiled=False), profits, 150, Stop.after(60), climb=False)
    monkeypatch.setattr(box_store, "SETS", 128)
    emptied = []
    clear = box_store.BoxStore.clear
    monkeypatch.setattr(box_store.BoxStore, "clear", lambda store: (emptied.append(1), clear(store)))
    assert search(pricer(NINE, 0, compiled=True), profits, 150, Stop.after(60), climb=False) == wanted
    assert emptied
    monkeypatch.setattr(box_store, "SETS", 8)
    with pytest.raises(Full):  # one set by itself is too much
        search(pricer(NINE, 0, compiled=True), profits, 150, Stop.after(60), climb=False)


def test_two_threads_find_what_one_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(box_store, "load", lambda: (box_kernels.extend, box_kernels.search_sets))
    profits = [item.length * item.width for item in NINE.items]
    one, two = (pricer(NINE, 0, compiled=True) for _ in range(2))
    for threshold in (150, 300, 10_000):
        wanted = search(one, profits, threshold, Stop.after(60), climb=False)
        assert sorted(search(two, profits, threshold, Stop.after(60), climb=False, both=True)) == sorted(wanted)
    climbed = search(two, profits, 250, Stop.after(60), both=True)
    assert max(climbed)[0] == max(wanted for wanted, _ in search(one, profits, 250, Stop.after(60)))
    monkeypatch.setattr(box_store, "WORK", 100)
    with pytest.raises(OutOfTime):
        search(pricer(NINE, 0, compiled=True), profits, 150, Stop.after(0), climb=False, both=True)
    with pytest.raises(Full):
        search(two, profits, 1, Stop.after(60), climb=False, both=True, most=3)


@pytest.mark.parametrize("compiled", [False, True])
def test_a_set_of_too_many_parts_is_refused_before_anything_is_written(
    compiled: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Thirteen parts have more subsets than there is room for: compiled code would write beyond its arrays."""
    if not compiled:
        monkeypatch.setattr(box_store, "load", lambda: (box_kernels.extend, box_kernels.search_sets))
    elif not box_store.ready():
        pytest.skip("compiled code is not in the cache; fill it with: python -m nesting.solve.box_store")
    many = Problem((Bin(20, 20, 1),), (Item(1, 1, 13, WAYS), Item(2, 2, 1, WAYS)))
    priced = pricer(many, 0, compiled=True)
    assert priced.fast is not None
    assert priced.fast.pattern([0] * box_kernels.MOST_PARTS) is not None
    with pytest.raises(Full):
        priced.pattern([0] * 13)
    assert priced.known([0] * 13, Stop.after(60)) is None
    assert priced.fast.extend(priced.fast.store, box_kernels.MOST_PARTS, 0, box_store.WORK) == -1


def test_more_boxes_than_there_is_room_for_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(box_store, "load", lambda: (box_kernels.extend, box_kernels.search_sets))
    priced = pricer(NINE, 0, compiled=True)
    assert priced.fast is not None
    assert priced.fast.pattern([0, 1, 2]) is not None
    cramped = priced.fast.another()
    cramped.store = cramped.store._replace(new_w=cramped.store.new_w[:7], new_h=cramped.store.new_h[:7])
    with pytest.raises(Full):
        cramped.pattern([0, 1, 2])
