"""Figures for monitoring, in the text format of Prometheus; counted by this process alone."""

from __future__ import annotations

from collections.abc import Iterable

from prometheus_client import CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from api.bulletin import Bulletin
from api.store import plans, rack, ticks
from api.store.database import Store

STATES = (plans.QUEUED, plans.RUNNING, plans.DONE, plans.FAILED, plans.CANCELLED)


class Metrics:
    """The figures of one service."""

    def __init__(self, store: Store, bulletin: Bulletin) -> None:
        self._registry = CollectorRegistry()
        self._requests = Counter(
            "cleatwright_requests", "Requests answered", ("method", "route", "status"), registry=self._registry
        )
        self._seconds = Histogram(
            "cleatwright_request_seconds", "Seconds to the first byte of an answer", ("route",),
            buckets=(0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5), registry=self._registry,
        )  # fmt: skip
        self._searches = Histogram(
            "cleatwright_search_seconds", "Seconds a search took, by how it ended", ("state",),
            buckets=(0.5, 1, 2, 5, 10, 20, 60, 120, 300, 600, 1200), registry=self._registry,
        )  # fmt: skip
        self._registry.register(_Now(store, bulletin))

    def request(self, method: str, route: str, status: int, seconds: float) -> None:
        """Count a request; ``route`` is the pattern of its address, never the address."""
        self._requests.labels(method, route, str(status)).inc()
        self._seconds.labels(route).observe(seconds)

    def search(self, state: str, seconds: float) -> None:
        """Count a search that ended."""
        self._searches.labels(state).observe(seconds)

    def text(self) -> bytes:
        """Return all figures."""
        return generate_latest(self._registry)


class _Now(Collector):
    """What the tables hold at the moment of asking."""

    def __init__(self, store: Store, bulletin: Bulletin) -> None:
        self._store, self._bulletin = store, bulletin

    def describe(self) -> Iterable[Metric]:
        return ()

    def collect(self) -> Iterable[Metric]:
        with self._store.reading() as connection:
            counts = plans.counts(connection)
            ticked, spoiled = ticks.count(connection)
            in_racks = rack.count(connection)
        states = GaugeMetricFamily("cleatwright_plans", "Plans in each state", labels=("state",))
        for state in STATES:
            states.add_metric((state,), counts.get(state, 0))
        yield states
        yield GaugeMetricFamily("cleatwright_steps_ticked", "Steps of all plans that are ticked", ticked)
        yield GaugeMetricFamily("cleatwright_pieces_spoiled", "Pieces of all plans that were spoiled", spoiled)
        yield GaugeMetricFamily("cleatwright_rack_pieces", "Pieces in all racks", in_racks)
        yield GaugeMetricFamily("cleatwright_streams", "Event streams open", self._bulletin.streams)
