"""Structured logs: one line a request and one a search, with the ids of both; JSON where no terminal reads them."""

from __future__ import annotations

import logging
import sys

import structlog
from structlog.typing import Processor


def set_up(*, for_people: bool | None = None) -> None:
    """Send all logs to standard error, ours and the libraries'; in colour where a terminal is there."""
    people = sys.stderr.isatty() if for_people is None else for_people
    shared: list[Processor] = [
        structlog.contextvars.merge_contextvars,
        structlog.processors.add_log_level,
        structlog.processors.TimeStamper(fmt="iso", utc=True),
    ]
    last: Processor = (
        structlog.dev.ConsoleRenderer(pad_event_to=0, exception_formatter=structlog.dev.plain_traceback)
        if people
        else structlog.processors.JSONRenderer(ensure_ascii=True)  # a name may hold anything
    )
    tidy: list[Processor] = (
        [] if people else [structlog.processors.format_exc_info]
    )  # no variables in it: one could be a key
    structlog.configure(
        processors=[*shared, *tidy, last],
        wrapper_class=structlog.make_filtering_bound_logger(logging.INFO),
        logger_factory=structlog.PrintLoggerFactory(sys.stderr),
        cache_logger_on_first_use=False,
    )
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(structlog.stdlib.ProcessorFormatter(foreign_pre_chain=shared, processors=[
        structlog.stdlib.ProcessorFormatter.remove_processors_meta, *tidy, last,
    ]))  # fmt: skip
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(logging.WARNING)
    for name in ("uvicorn", "uvicorn.error", "uvicorn.access"):
        logging.getLogger(name).handlers.clear()
        logging.getLogger(name).propagate = name != "uvicorn.access"  # a request's one line is ours
