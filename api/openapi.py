"""The OpenAPI description, kept beside this module: ``python -m api.openapi > api/openapi.json`` writes it anew."""

from __future__ import annotations

import json
import sys

from api.app import described


def description_text() -> str:
    """Return the description as it is kept."""
    return json.dumps(described().openapi(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.stdout.write(description_text())
