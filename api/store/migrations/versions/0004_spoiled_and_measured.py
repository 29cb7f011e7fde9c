"""Pieces of a plan that were spoiled or measured."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make a table for each."""
    op.create_table(
        "spoils",
        sa.Column("plan", sa.String(length=26), nullable=False),
        sa.Column("piece", sa.String(length=120), nullable=False),
        sa.Column("left", sa.Text(), nullable=False, comment="JSON list of the sizes that remain of it"),
        sa.Column("note", sa.String(length=500), nullable=False),
        sa.Column("created", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(["plan"], ["plans.id"], name=op.f("fk_spoils_plan"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("plan", "piece", name=op.f("pk_spoils")),
    )
    op.create_table(
        "measures",
        sa.Column("plan", sa.String(length=26), nullable=False),
        sa.Column("piece", sa.String(length=120), nullable=False),
        sa.Column("length", sa.Double(), nullable=False),
        sa.Column("width", sa.Double(), nullable=False),
        sa.Column("created", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(["plan"], ["plans.id"], name=op.f("fk_measures_plan"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("plan", "piece", name=op.f("pk_measures")),
    )
