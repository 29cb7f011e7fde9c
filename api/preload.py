"""Imported once by the process that runners are forked from, so that each begins with all it needs loaded."""

import contextlib
import importlib

import nesting.check.carry
import nesting.check.derived
import nesting.check.geometry
import nesting.check.loads
import nesting.check.money
import nesting.check.parts
import nesting.check.replay
import nesting.check.saw_rules
import nesting.check.saw_warnings
import nesting.check.stages
import nesting.check.wall
import nesting.make
import nesting.paper.contents
import nesting.replan.again
import nesting.replan.attempt
import nesting.replan.choose
import nesting.replan.finish
import nesting.sequence.drift
import nesting.sequence.lazy_slots
import nesting.solve.cutting
import nesting.solve.search  # noqa: F401

for _library in ("svgwrite", "typst", "ezdxf"):  # used by one module each, when it writes; the last one is an extra
    with contextlib.suppress(ModuleNotFoundError):
        importlib.import_module(_library)
