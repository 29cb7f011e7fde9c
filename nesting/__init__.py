"""Cutting plans for French-cleat storage: what to buy, how to lay it out, in which order to saw."""

import logging

logging.getLogger("nesting").addHandler(logging.NullHandler())
