"""From layouts to steps: which cut comes next, at which station, with which setting."""

from __future__ import annotations

from nesting.sequence.choice import plan_choice
from nesting.sequence.plan import Work, plan_steps, plan_work

__all__ = ["Work", "plan_choice", "plan_steps", "plan_work"]
