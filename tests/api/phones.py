"""A phone in a process of its own, ticking straight into the tables."""

from __future__ import annotations

from pathlib import Path

from api.store import ticks
from api.store.database import Store, engine_for


def tick_all(data: str, address: str | None, plan: str, steps: list[int]) -> None:
    """Tick each of these steps, twice, in a transaction of its own, and every tenth back and again, holding nothing."""
    store = Store(engine_for(Path(data), address))
    for step in [*steps, *steps]:
        with store.writing() as connection:
            ticks.hold(connection, plan)
            ticks.tick(connection, plan, (step,))
        if step % 10 == 0:
            with store.writing() as connection:
                ticks.untick(connection, plan, (step,))
            with store.writing() as connection:
                ticks.tick(connection, plan, (step,))
    store.close()
