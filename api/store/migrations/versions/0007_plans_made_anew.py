"""Plans made anew: which plan each takes the place of, and how far the work on that one was."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add both columns; no plan so far is one made anew."""
    record = "JSON of the work done on that plan when this one was asked for"
    with op.batch_alter_table("plans") as plans:
        plans.add_column(sa.Column("replaces", sa.String(26), nullable=True, comment="plan that this one makes anew"))
        plans.add_column(sa.Column("record", sa.Text(), nullable=True, comment=record))
        plans.create_index(plans.f("ix_plans_replaces"), ["replaces"], unique=False)
