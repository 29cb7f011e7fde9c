"""The state of the shop while one phase is worked: which operations can be made, and what they set free."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from nesting.sequence.job import Group, Op, Symbol


@dataclass(frozen=True, slots=True)
class Done:
    """One operation as carried out; ``symbol`` None at the guided saw."""

    op: Op
    symbol: Symbol | None


class Shop:
    """Carries out operations of one phase, one after another, and keeps what can be done next.

    In a group without slack the last strip falls free: it costs nothing, and what it gives is there at once.
    """

    def __init__(self, phase: int, roots: Iterable[Group], fallen: frozenset[int] | None = None) -> None:
        """``fallen``: the operations that are to fall free, by index; None: whichever is left last."""
        self.phase, self._fallen = phase, fallen
        self.order: list[Done] = []
        self.ended: set[int] = set()
        self.ready: dict[Symbol, dict[int, Op]] = {}
        self.guided: dict[int, Op] = {}
        self._left: dict[int, dict[int, Op]] = {}
        for group in roots:
            self._open(group)

    def do(self, op: Op, symbol: Symbol | None) -> None:
        """Carry out an operation that is ready."""
        self.order.append(Done(op, symbol))
        self._end(op)

    def do_all(self, symbol: Symbol, wanted: Callable[[Op], bool] | None = None) -> None:
        """Carry out whatever is ready for a setting, and what becomes ready for it meanwhile."""
        while ops := [op for op in self.ready.get(symbol, {}).values() if wanted is None or wanted(op)]:
            for op in ops:
                if op.index not in self.ended:
                    self.do(op, symbol)

    def do_guided(self) -> None:
        """Carry out whatever is ready for the guided saw."""
        while self.guided:
            self.do(next(iter(self.guided.values())), None)

    def _make_ready(self, op: Op) -> None:
        if op.guided is not None:
            self.guided[op.index] = op
        for symbol in op.ways:
            self.ready.setdefault(symbol, {})[op.index] = op

    def _open(self, group: Group) -> None:
        if group.phase != self.phase:
            return
        self._left[group.index] = {op.index: op for op in group.ops}
        for op in group.ops:
            if not op.last and not self._waits_to_fall(op):
                self._make_ready(op)
        self._look_for_free(group)

    def _waits_to_fall(self, op: Op) -> bool:
        if op.group.forced is not None:
            return op is op.group.forced
        return self._fallen is not None and op.index in self._fallen

    def _end(self, op: Op) -> None:
        self.guided.pop(op.index, None)
        for symbol in op.ways:
            ready = self.ready.get(symbol, {})
            ready.pop(op.index, None)
            if not ready:
                self.ready.pop(symbol, None)
        self.ended.add(op.index)
        del self._left[op.group.index][op.index]
        for group in op.gives:
            self._open(group)
        self._look_for_free(op.group)

    def _look_for_free(self, group: Group) -> None:
        left = self._left[group.index]
        if len(left) != 1:
            return
        op = next(iter(left.values()))
        if op.can_fall_free:
            self._end(op)
        elif op.last or self._waits_to_fall(op):
            self._make_ready(op)
