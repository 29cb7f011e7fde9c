"""How a service was asked to run: address, data folder, database, where solving happens, limits."""

from __future__ import annotations

import ipaddress
import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from api.limits import Limits, limits_from


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything a service is told from outside; nothing else of its surroundings is looked at."""

    data: Path
    """Folder of the database (where it is SQLite) and of this service's identity."""
    host: str = "127.0.0.1"
    port: int = 8000
    database_url: str | None = None
    """PostgreSQL's address; None: SQLite in the data folder."""
    jobs: int = 1
    """Plans searched for at once."""
    cluster: str | None = None
    """``"local"`` or the address of a dask scheduler; None: processes of this machine."""
    limits: Limits = field(default_factory=Limits)

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach the address."""
        return is_loopback(self.host)


def settings_from(
    environment: Mapping[str, str],
    *,
    host: str = "127.0.0.1",
    port: int = 8000,
    data: Path | None = None,
    jobs: int | None = None,
    cluster: str | None = None,
) -> Settings:
    """Return settings: what the command line gives, the rest from the environment.

    ``DATABASE_URL`` and the limits (:class:`~api.limits.Limits`) come from the environment alone.
    Raises :class:`~nesting.errors.BadInput`.
    """
    return Settings(
        data=data or data_folder(environment),
        host=host,
        port=port,
        database_url=environment.get("DATABASE_URL") or None,
        jobs=jobs or max(1, os.cpu_count() or 1),
        cluster=cluster,
        limits=limits_from(environment),
    )


def data_folder(environment: Mapping[str, str], platform: str = sys.platform) -> Path:
    """Return the usual place of a user's data, as each system has it.

    On Linux as the XDG Base Directory Specification 0.8 says; elsewhere from memory.

    >>> data_folder({"HOME": "/home/ada"}, "linux").as_posix()
    '/home/ada/.local/share/cleatwright'
    >>> data_folder({"HOME": "/home/ada", "XDG_DATA_HOME": "/data"}, "linux").as_posix()
    '/data/cleatwright'
    """
    home = Path(environment.get("HOME") or Path.home())
    if platform == "win32":
        return Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local") / "cleatwright"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "cleatwright"
    given = environment.get("XDG_DATA_HOME", "")
    return (Path(given) if given.startswith("/") else home / ".local" / "share") / "cleatwright"


def is_loopback(host: str) -> bool:
    """Whether a host is this machine by itself: ``localhost``, 127.0.0.0/8 or ::1.

    >>> [is_loopback(host) for host in ("localhost", "127.0.0.9", "::1", "0.0.0.0", "bench.example")]
    [True, True, True, False, False]
    """
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False
