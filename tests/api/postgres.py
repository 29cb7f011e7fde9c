"""A real PostgreSQL server for the length of the tests, where its programs are installed."""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path


def programs() -> Path | None:
    """Where ``initdb`` and ``postgres`` are; None where they are not installed."""
    found = shutil.which("initdb")
    if found is not None:
        return Path(found).resolve().parent
    homes = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))  # Debian keeps them off the path
    return homes[-1].parent if homes else None


@contextlib.contextmanager
def running(place: Path) -> Iterator[str]:
    """Start a server on a free port of this machine; give its address. It refuses to be root, so somebody else is."""
    as_user = ["setpriv", "--reuid=nobody", "--regid=nogroup", "--clear-groups"] if os.geteuid() == 0 else []
    with tempfile.TemporaryDirectory(prefix="cleat-pg-") as name, socket.socket() as free:
        folder = Path(name)
        if as_user:
            shutil.chown(folder, "nobody", "nogroup")
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
        free.close()

        def run(*command: str) -> None:
            subprocess.run([*as_user, *command], check=True, capture_output=True, cwd="/", timeout=100)

        run(str(place / "initdb"), "-D", str(folder / "data"), "-U", "cleat", "-A", "trust", "-N", "--no-instructions")
        options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync=off -c max_connections=60"
        control = (str(place / "pg_ctl"), "-D", str(folder / "data"), "-w")
        run(*control, "-l", str(folder / "log"), "-o", options, "start")
        try:
            yield f"postgresql://cleat@127.0.0.1:{port}/postgres"
        finally:
            run(*control, "-m", "immediate", "stop")
