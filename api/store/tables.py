"""The tables. Documents and events are JSON texts; times are seconds since 1970, UTC."""

from __future__ import annotations

from typing import Final

from sqlalchemy import (
    Boolean,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata: Final = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_N_label)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

keys: Final = Table(
    "keys",
    metadata,
    Column("id", String(26), primary_key=True),
    Column("name", String(120), nullable=False, unique=True),
    Column("hash", String(64), nullable=False, unique=True, comment="SHA-256 of the key; the key itself is nowhere"),
    Column("created", Double, nullable=False),
)

secrets: Final = Table(
    "secrets",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", String(200), nullable=False),
)

projects: Final = Table(
    "projects",
    metadata,
    Column("id", String(26), primary_key=True),
    Column("owner", String(26), nullable=False, comment="id of a key, or local"),
    Column("name", String(120), nullable=False),
    Column("document", Text, nullable=False, comment="as it was handed in"),
    Column("version", Integer, nullable=False),
    Column("created", Double, nullable=False),
    Column("changed", Double, nullable=False),
    Index(None, "owner", "id"),
)

plans: Final = Table(
    "plans",
    metadata,
    Column("id", String(26), primary_key=True),
    Column("project", String(26), ForeignKey("projects.id", ondelete="CASCADE"), nullable=False),
    Column("owner", String(26), nullable=False),
    Column("document", Text, nullable=False, comment="the project as it was when the plan was asked for"),
    Column("version", Integer, nullable=False, comment="of the project"),
    Column("seconds", Double, nullable=False),
    Column("seed", Integer, nullable=False),
    Column("state", String(10), nullable=False),
    Column("cost", Double),
    Column("cost_bound", Double),
    Column("phase", String(200)),
    Column("proven", Boolean),
    Column("summary", Text, comment="JSON list of sentences"),
    Column("problem", Text, comment="JSON problem document of a plan that failed"),
    Column("finish_early", Boolean, nullable=False),
    Column("attempt", Integer, nullable=False, comment="counts the claims; a fence against late results"),
    Column("deaths", Integer, nullable=False, comment="workers that died over it"),
    Column("due", Double, nullable=False, comment="not to be claimed before"),
    Column("server", String(32), comment="who works on it"),
    Column("heartbeat", Double),
    Column("created", Double, nullable=False),
    Column("started", Double),
    Column("finished", Double),
    Column("idempotency_key", String(200)),
    Column("fingerprint", String(64), comment="SHA-256 of the request that came with the key"),
    Column("kind", String(12), nullable=False, server_default="plan"),  # or "comparison"
    Column("varied", Text, comment="JSON of what a comparison varies"),
    Column("replaces", String(26), comment="plan that this one makes anew"),
    Column("record", Text, comment="JSON of the work done on that plan when this one was asked for"),
    UniqueConstraint("owner", "idempotency_key"),
    Index(None, "project", "id"),
    Index(None, "state", "id"),
    Index(None, "replaces"),
)

events: Final = Table(
    "events",
    metadata,
    Column("plan", String(26), ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("kind", String(10), nullable=False),
    Column("data", Text, nullable=False),
    Column("created", Double, nullable=False),
)

files: Final = Table(
    "files",
    metadata,
    Column("plan", String(26), ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    Column("name", String(120), primary_key=True),
    Column("sha256", String(64), nullable=False),
    Column("content", LargeBinary, nullable=False),
)

ticks: Final = Table(
    "ticks",
    metadata,
    Column("plan", String(26), ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    Column("step", Integer, primary_key=True, autoincrement=False, comment="its number in the plan"),
    Column("created", Double, nullable=False),
)

spoils: Final = Table(
    "spoils",
    metadata,
    Column("plan", String(26), ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    Column("piece", String(120), primary_key=True),
    Column("left", Text, nullable=False, comment="JSON list of the sizes that remain of it"),
    Column("note", String(500), nullable=False),
    Column("created", Double, nullable=False),
)

measures: Final = Table(
    "measures",
    metadata,
    Column("plan", String(26), ForeignKey("plans.id", ondelete="CASCADE"), primary_key=True),
    Column("piece", String(120), primary_key=True),
    Column("length", Double, nullable=False),
    Column("width", Double, nullable=False),
    Column("created", Double, nullable=False),
)

drafts: Final = Table(
    "drafts",
    metadata,
    Column("project", String(26), primary_key=True, comment="id of the project that it is or becomes"),
    Column("owner", String(26), nullable=False),
    Column("name", String(120), nullable=False),
    Column("typed", Text, nullable=False, comment="JSON of the form as it was typed, faults and all"),
    Column("version", Integer, nullable=False, comment="of the project that it stands beside; 0: none yet"),
    Column("faults", Integer, nullable=False),
    Column("tab", String(32), nullable=False, comment="who typed last"),
    Column("revision", Integer, nullable=False),
    Column("created", Double, nullable=False),
    Column("changed", Double, nullable=False),
    Index(None, "owner", "project"),
)

racks: Final = Table(
    "racks",
    metadata,
    Column("owner", String(26), primary_key=True),
    Column("smallest", Text, nullable=False, comment="JSON of the smallest leftover worth keeping"),
    Column("numbered", Integer, nullable=False, comment="last number given as a label"),
)

rack_pieces: Final = Table(
    "rack_pieces",
    metadata,
    Column("owner", String(26), primary_key=True),
    Column("label", String(16), primary_key=True),
    Column("document", Text, nullable=False, comment="JSON of the piece"),
    Column("created", Double, nullable=False),
)

rack_changes: Final = Table(
    "rack_changes",
    metadata,
    Column("id", String(26), primary_key=True),
    Column("owner", String(26), nullable=False),
    Column("document", Text, nullable=False, comment="JSON: in words, the pieces taken, the pieces given"),
    Column("plan", String(26), nullable=False, comment="that was ticked off; empty: somebody's own change"),
    Column("created", Double, nullable=False),
    Index(None, "owner", "id"),
)
