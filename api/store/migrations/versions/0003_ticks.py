"""Steps of a plan that were carried out."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of ticks."""
    op.create_table(
        "ticks",
        sa.Column("plan", sa.String(length=26), nullable=False),
        sa.Column("step", sa.Integer(), autoincrement=False, nullable=False, comment="its number in the plan"),
        sa.Column("created", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(["plan"], ["plans.id"], name=op.f("fk_ticks_plan"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("plan", "step", name=op.f("pk_ticks")),
    )
