"""Migrations of the tables by Alembic, shipped with the program and run when it opens its database."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from alembic.config import Config
    from sqlalchemy import Connection


def config(connection: Connection) -> Config:
    """Return Alembic's configuration for migrating by an open connection."""
    from alembic.config import Config

    made = Config()
    made.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    made.attributes["connection"] = connection
    return made
