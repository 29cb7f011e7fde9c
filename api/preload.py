"""Imported once by the process that runners are forked from, so that each begins with the solvers loaded."""

import nesting.check
import nesting.make
import nesting.paper.contents
import nesting.replan.again
import nesting.replan.attempt
import nesting.replan.choose
import nesting.replan.finish
import nesting.sequence.lazy_slots
import nesting.solve.cutting
import nesting.solve.search  # noqa: F401
