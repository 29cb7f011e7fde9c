"""Random projects through the whole way, and tiny ones against the cheapest of all ways to cut them."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, given, settings

from nesting.demand import Group
from nesting.solve.grid import Rules
from tests.main_job.judge import judge_project, judge_tiny
from tests.strategies import projects, tiny_jobs

QUIET = list(HealthCheck)


@given(projects())
@settings(max_examples=70, deadline=None, derandomize=True, database=None, suppress_health_check=QUIET)
def test_every_random_project_gives_a_faultless_plan_or_a_reason(mapping: dict[str, Any]) -> None:
    assert judge_project(mapping, seconds=0.2).faults == ()


@given(tiny_jobs())
@settings(max_examples=120, deadline=None, derandomize=True, database=None, suppress_health_check=QUIET)
def test_no_tiny_job_can_be_cut_for_less(job: tuple[Group, Rules]) -> None:
    assert judge_tiny(job, seconds=20).faults == ()
