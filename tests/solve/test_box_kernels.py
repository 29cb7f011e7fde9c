"""The code that numba compiles for boxes of part sets, run as plain Python: the same sets as the plain twin finds."""

from __future__ import annotations

import pytest

from nesting.solve import box_kernels, box_store
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
