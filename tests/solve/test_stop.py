"""When to stop: a stop that is held keeps its answer back, but neither beyond the deadline nor once cancelled."""

from __future__ import annotations

import threading
import time

from nesting.solve.stop import Stop
from tests.leisure import LEISURE


def test_a_held_stop_answers_once_it_is_let_go() -> None:
    hold, answers = threading.Event(), list[bool]()
    hold.set()
    stop = Stop.after(60).held(hold).within(30)
    asking = threading.Thread(target=lambda: answers.append(stop.reached()))
    asking.start()
    asking.join(0.05)
    assert not answers
    hold.clear()
    asking.join(10)
    assert answers == [False]


def test_a_held_stop_heeds_deadline_and_cancel() -> None:
    hold, cancel, end = threading.Event(), threading.Event(), threading.Event()
    hold.set()
    assert Stop.after(0.02).held(hold).reached()
    cancelled = Stop.after(60, cancel).held(hold)
    ended = Stop.after(60).held(hold).unless(end)
    threading.Timer(0.02, cancel.set).start()
    threading.Timer(0.02, end.set).start()
    begun = time.perf_counter()
    assert cancelled.reached()
    assert ended.reached()
    assert time.perf_counter() - begun < LEISURE
