"""Comparisons are jobs beside plans: what kind a job is, and what a comparison varies."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add both columns; every job so far is a plan."""
    with op.batch_alter_table("plans") as plans:
        plans.add_column(sa.Column("kind", sa.String(length=12), nullable=False, server_default="plan"))
        plans.add_column(sa.Column("varied", sa.Text(), nullable=True, comment="JSON of what a comparison varies"))
