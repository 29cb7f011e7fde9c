"""Random jobs stopped anywhere with a piece lost: judged by the checkers, by counting, and by what it costs."""

import random

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from tests.replan.judge import judge
from tests.strategies import projects

QUIET = settings(
    max_examples=20,
    deadline=None,
    database=None,
    phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)


@seed(7)
@QUIET
@given(projects(), st.integers(0, 2**31))
def test_no_loss_costs_more_than_its_parts_anew(job, dice):
    verdict = judge(job, random.Random(dice), seconds=2.0, anew_seconds=0.3)
    assert not verdict.faults, verdict
