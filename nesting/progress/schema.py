"""Writes the JSON Schema of the progress file: ``python -m nesting.progress.schema > progress.schema.json``."""

from __future__ import annotations

import sys

from nesting.progress.record import progress_schema_text

if __name__ == "__main__":
    sys.stdout.write(progress_schema_text())
