"""The program's way in: nothing is loaded before an early Ctrl-C can be answered."""

from __future__ import annotations

import os
import sys
import threading
from typing import NoReturn


def run() -> NoReturn:
    """Be the program: arguments from the command line, status to the shell."""
    try:
        from cli.main import main

        status = main(sys.argv[1:])
    except KeyboardInterrupt:
        status = 130
    if threading.active_count() > 1:  # a search that was given up must not hold up its owner
        os._exit(status)
    sys.exit(status)


if __name__ == "__main__":
    run()
