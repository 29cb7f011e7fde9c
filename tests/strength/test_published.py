"""Formulas and tables against what the publications print; see ``published.py`` for the table."""

from __future__ import annotations

from collections import Counter

import pytest

from tests.strength.published import Row, rows

TABLE = list(rows())


@pytest.mark.parametrize("row", TABLE, ids=lambda row: f"{row.source}: {row.what} [{row.how}]")
def test_value(row: Row) -> None:
    assert row.found == pytest.approx(row.printed, rel=0, abs=row.within + 1e-12)


def test_enough_values_come_from_outside() -> None:
    how = Counter(row.how for row in TABLE)
    assert how["read"] + how["transcribed"] >= 60
    assert len({(row.source, row.what) for row in TABLE}) == len(TABLE)
