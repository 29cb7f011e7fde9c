"""Rounds: improvement, proofs and columns take turns until the plan is proven or time is up.

Compiled, one search improves in a thread of its own, chance after chance, while proofs, columns and a second search
go on in the other: compiled code and OR-Tools leave the interpreter to both. While proofs look for patterns and none
known would make anything cheaper, two threads look, and every other time the search waits. Uncompiled they take turns.
An improvement is counted in iterations, not seconds, so that each chance gives the same plan again.
"""

from __future__ import annotations

import math
import os
import threading
from collections.abc import Callable
from dataclasses import dataclass, field

from nesting.solve.bars import Composition, compose, decomposed, relaxed
from nesting.solve.beside import Beside, beside
from nesting.solve.chances import FEW_SHEETS, ROUND_SECONDS, Task, Way
from nesting.solve.choices import Choice, choices, drawn
from nesting.solve.columns import Column, column_of, cost_of
from nesting.solve.compiled import Kernels
from nesting.solve.dives import Hope
from nesting.solve.master import choose
from nesting.solve.multiset_plans import plan_of
from nesting.solve.multisets import QUICK, Multisets
from nesting.solve.pattern import Pattern, Plan, Sheet
from nesting.solve.pattern_bound import Column as Content
from nesting.solve.pricing import generate
from nesting.solve.problem import Bound
from nesting.solve.proofs import Prover
from nesting.solve.reachable import limited
from nesting.solve.refill import PATIENCE
from nesting.solve.splices import tried
from nesting.solve.stage_count import keeps_stages
from nesting.solve.standing import Standing
from nesting.solve.stop import Stop
from nesting.solve.whole_patterns import cut_patterns

CORES = os.cpu_count() or 1
LEAST_SECONDS = 1.0
"""A first round lasts so long at least, later ones longer, so that the search beside gets somewhere."""
PROOF_SHARE = 0.95
"""Of the time left that proofs have in one go after the first round: a search for patterns broken off is lost."""
EXHAUST_SHARE = 0.5
"""Of the time of proofs, for all multisets of the pieces where these are few; very few if other proofs may be had."""
MEETING_ROUNDS = 3
"""In so many first rounds the sheets met are kept, for the linear program of the proofs to start from."""
AGAIN = 3
"""Each so many chances the plainest composition has its turn, and without cleats the best plan instead of a new one."""
CYCLE, ROUND_CHANCES = 8, 3200
"""Chances after which their kinds repeat, and numbers a round has for them; the second half for the driver's thread."""
IMPROVING, FITTING = 2, 5
"""Where bins are to be filled whole: the chance of a cycle that improves, and the one that fits by ruin and recreate;
the others fill by beams."""
LATE = 3
"""Where there are several stocks, columns are generated in this round of four."""
LIMITED_SHARE = 0.3
"""Of the time left in each round where stages are limited, for whole patterns, and after the first round for proofs."""
MOST_TRIES = 40
"""Tries of a round to grow a plan from what proofs found, for which other chances are broken off; later ones wait."""
MOST_PATIENT = 2
"""Beams of the first round have the least patience, later ones more, up to so many times as much."""


@dataclass(slots=True)
class Rounds:
    """The rounds of one search, with what they carry from one to the next."""

    standing: Standing
    priced: bool = False
    prover: Prover | None = None
    known: dict[Content, None] = field(default_factory=dict)
    listed: tuple[int, list[Choice]] = (0, [])
    sets: Multisets | None = None

    def run(self, most: int | None = None) -> None:
        """Go on until the search is over, or for so many rounds at ``most``."""
        standing, number = self.standing, 0
        self._prover()  # before two threads may ask for it
        while not standing.over() and number != most:
            number += 1
            kernels = standing.kernels(patient=True)
            if kernels.compiled and CORES > 1:
                with beside(self._chances(number, kernels), standing.stop, standing.cost) as search:
                    self._meanwhile(number, kernels, search)
                self._collect(search)
                continue
            self._improve(number, kernels, min(4, number), standing.stop)
            if not standing.over():
                self._prove(ROUND_SECONDS * min(6, number), standing.stop, kernels)
            if not standing.over() and limited(standing.problem):
                self._patterns(number, kernels, standing.stop)
            if not standing.over() and self._columns_due(number, kernels):
                self.columns(kernels, standing.stop)

    def _chances(self, number: int, kernels: Kernels) -> Callable[[Beside, Stop], None]:
        """Return what the search beside does in a round: chance after chance, until it is told that it is enough."""
        problem, seed, target = self.standing.problem, self.standing.seed, self.standing.bound.cost
        shares, known = self.standing.shares, self.standing.best
        meeting = number <= MEETING_ROUNDS and not problem.runs

        def work(search: Beside, stop: Stop) -> None:
            chance, met = ROUND_CHANCES * number, not meeting
            tries = 0
            while not stop.reached():
                near = search.to_try()
                if near is not None:
                    grown = near.grown(seed + ROUND_CHANCES * number + tries, stop)
                    tries += 1
                    if grown is not None:
                        search.lay_down(compose(problem, 0), grown, cost_of(problem, grown))  # no bars here
                    continue
                going = stop.unless(search.hoping) if tries < MOST_TRIES else stop
                way = self._way(chance, search.least, kernels)
                composition = compose(tried(problem, chance, seed, shares, known), self._draw(chance))

                def keep(plan: Plan, composition: Composition = composition) -> None:
                    search.lay_down(composition, plan, cost_of(composition.problem, plan))

                def meet(b: int, pattern: Pattern, composition: Composition = composition) -> None:
                    search.met.append((composition, Sheet(b, pattern)))

                share = number if self._filling() else 4 * number
                task = Task(composition.problem, seed + chance, share, target, kernels)
                if way.choice is not None:
                    task.fit(way, going, keep)
                else:
                    start = known if chance % AGAIN == 0 and not problem.bars else None
                    task.improve(going, keep, start=start, meet=None if met else meet)
                    met = True
                chance += 1

        return work

    def _meanwhile(self, number: int, kernels: Kernels, search: Beside) -> None:
        """Prove, generate columns, and improve by other chances where proofs came to an early end."""
        standing = self.standing
        within = standing.stop.unless(search.better)
        until = standing.stop.within(LEAST_SECONDS * min(4, number))
        if number == 1 and not standing.problem.runs:  # while the search meets its first sheets
            standing.raise_bound(self._prover().by_scales(standing.bound, within), "proofs")
        proofs, columns, patterns = True, self._columns_due(number, kernels), limited(standing.problem)
        chance = ROUND_CHANCES * number + ROUND_CHANCES // 2
        while not standing.over() and (proofs or patterns or columns or not until.reached()):
            self._collect(search)
            if standing.closed():
                return
            if proofs:
                first = number == 1  # later the search has had its time, and may be asked to wait
                share = LIMITED_SHARE if patterns else PROOF_SHARE
                seconds = 2 * ROUND_SECONDS if first else share * standing.stop.left()
                self._prove(seconds, within, kernels, None if first else search.aside, search.hope)
                proofs = search.better.is_set()  # a cheaper plan came in: what it costs is to be refuted now
            elif patterns:
                self._patterns(number, kernels, within)
                patterns = False
            elif columns:
                self.columns(kernels, within)
                columns = False
            else:
                self._improve(chance, kernels, min(4, number), within)
                search.least = min(search.least, standing.cost)
                chance += 1

    def _collect(self, search: Beside) -> None:
        """Take what the search beside has found, and the sheets it met."""
        for composition, plan in search.collect():
            self.standing.take(composition, plan, "ruin and recreate")
        met = search.met[:]
        del search.met[: len(met)]
        problem = self.standing.problem
        for composition, sheet in met:
            if self.standing.stop.reached():  # they are of no more use, and may be many
                return
            self.known.update(
                dict.fromkeys(
                    self._content(column_of(sheet.bin, sheet.pattern))
                    for sheet in decomposed(problem, composition, (sheet,))
                )
            )

    def _content(self, column: Column) -> Content:
        """Return what a column yields as the proofs see it: cleats are items behind the others."""
        first = len(self.standing.problem.items)
        return column.bin, (*column.items, *((first + bar, copies) for bar, copies in column.bars))

    def _prover(self) -> Prover:
        """Return the prover; with bars that of the relaxation to rectangles."""
        if self.prover is None:
            self.prover = Prover(relaxed(self.standing.problem), seed=self.standing.seed)
        return self.prover

    def _prove(
        self,
        seconds: float,
        stop: Stop,
        kernels: Kernels,
        aside: threading.Event | None = None,
        hope: Hope | None = None,
    ) -> None:
        """Refute any cheaper plan, or meet one; ``aside``, set, lets the search beside wait; ``hope`` gives it work.

        Not where splices are free: what is proven of one choice says nothing of another.
        """
        standing = self.standing
        if standing.best is None or standing.problem.runs:
            return
        within = stop.within(seconds)
        most = QUICK if self._prover().may_prove(standing.cost) else math.inf
        self._exhaust(within.within(EXHAUST_SHARE * seconds), kernels, most)
        if standing.closed() or within.reached():
            return
        self.known.update(dict.fromkeys(self._content(column) for column in standing.pool))
        hope = None if standing.problem.bars else hope  # what proofs see there is no plan
        proof = self._prover().prove(standing.cost, standing.bound, within, self.known, aside, hope)
        if not standing.problem.bars:
            standing.offer(proof.better, "proofs")
        standing.raise_bound(proof.bound, "proofs")

    def _exhaust(self, stop: Stop, kernels: Kernels, most: float = math.inf) -> None:
        """Refute every cheaper choice of stock by all multisets of the pieces where these are few, or find its plan."""
        standing = self.standing
        listed = sorted(self._choices(standing.cost), key=lambda choice: choice.cost)
        if not kernels.compiled or not listed:
            return
        counts = [choice.counts for choice in listed]
        if self.sets is None or not self.sets.begun_for(counts):
            self.sets = Multisets.of(standing.problem, counts, most)
        if self.sets is None:
            return
        least: int | None = None
        for choice in listed:
            if standing.cost <= choice.cost or self.sets.holds(choice.counts, stop, kernels) is False:
                continue
            least = choice.cost if least is None else least
            plan = plan_of(self.sets, choice.counts, stop, kernels)
            if plan is not None and all(keeps_stages(standing.problem, sheet.bin, sheet.pattern) for sheet in plan):
                standing.offer(plan, "every combination")
        told = "no cheaper choice of stock holds all parts, however they are divided among it and cut"
        standing.raise_bound(Bound(standing.cost if least is None else least, "exhaustion", told), "proofs")

    def _patterns(self, number: int, kernels: Kernels, stop: Stop) -> None:
        """Cut whole patterns under limits on stages or on the first cut."""
        cut_patterns(self.standing, number - 1, kernels, stop.within(LIMITED_SHARE * stop.left()))

    def _improve(self, chance: int, kernels: Kernels, share: int, stop: Stop) -> None:
        """Construct and improve one composition here."""
        standing = self.standing
        way = self._way(chance, standing.cost, kernels)
        composition = compose(standing.spliced(chance), self._draw(chance))

        def keep(plan: Plan) -> None:
            standing.take(composition, plan, "ruin and recreate")

        warming = None if kernels.compiled else standing.warming
        task = Task(composition.problem, standing.seed + chance, share, standing.bound.cost, kernels, warming)
        if way.choice is not None:
            task.fit(way, stop, keep)
        else:
            task.improve(stop, keep)

    def _draw(self, chance: int) -> int:
        """Return the seed of the composition of a chance; 0 for the plainest one."""
        return self.standing.seed * 1000 + chance if chance % AGAIN else 0

    def _filling(self) -> bool:
        """Whether beams are strong: pieces repeat, there are several stocks, or a plan has few sheets."""
        best = self.standing.best
        few = best is not None and len(best) <= FEW_SHEETS + 1
        return few or len(self.standing.problem.bins) > 1 or self._repeats()

    def _way(self, chance: int, below: int, kernels: Kernels) -> Way:
        """Return what a chance tries: where bins are to be filled whole mostly that, else always an improvement."""
        turn = chance % CYCLE
        if not self._filling() or turn == IMPROVING or (not kernels.compiled and chance % AGAIN == 0):
            return Way(None)
        beams = kernels.compiled and turn != FITTING and not limited(self.standing.problem)
        patience = PATIENCE * min(MOST_PATIENT, chance // ROUND_CHANCES) if beams else 0
        return Way(drawn(self._choices(below), self.standing.seed * 1000 + chance), patience)

    def _choices(self, below: int) -> list[Choice]:
        """List the choices of stock that cost less and might hold all parts."""
        known, listed = self.listed
        if known != below:  # listed anew only when the best plan costs less: both searches ask at every chance
            listed = choices(self.standing.problem, self._prover().needs(), below)
            self.listed = below, listed
        return listed

    def _repeats(self) -> bool:
        """Whether pieces repeat, or lie in bars: then columns win, seldom where all pieces are different."""
        problem = self.standing.problem
        return bool(problem.bars) or self.standing.pieces > 1.5 * len(problem.items)

    def _columns_due(self, number: int, kernels: Kernels) -> bool:
        if limited(self.standing.problem):
            return True
        if len(self.standing.problem.bins) > 1 and kernels.compiled:
            return number % 4 == LATE  # they take seconds, and beams find more
        return bool(self.standing.problem.bars) or (number == 1 and self._repeats()) or number % 4 == 0

    def columns(self, kernels: Kernels, stop: Stop) -> None:
        """Generate columns, once to the end; then let the integer master choose among all seen."""
        standing = self.standing

        def bounded(cost: int) -> None:
            told = "no mix of cutting patterns covers the job for less"
            standing.raise_bound(Bound(standing.payable(cost), "patterns", told), "columns")

        if not self.priced:
            within = stop.within(max(0.5, stop.left() / 3) if self._repeats() else ROUND_SECONDS)
            found = generate(standing.problem, standing.pool, within, kernels=kernels, on_bound=bounded)
            self.priced = found.ended
            standing.shares = found.shares or standing.shares
        if not standing.over():
            columns = list(standing.pool)
            within = stop.within(1.0 if self._repeats() else ROUND_SECONDS)
            plan = choose(standing.problem, columns, within, standing.best, standing.seed)
            standing.offer(plan, "integer master")
