"""How much time a test leaves to what ends at once: enough for any machine, far from the limit it would run into."""

from __future__ import annotations

from typing import Final

LEISURE: Final = 20.0
"""Seconds that a stop, a cancel or an end may take on a slow and busy machine, coverage on; searches that are to end
early in a test are given a minute or more. How soon they end on an idle one is measured by ``benchmarks.cancel``.
"""
