"""The rack: its pieces, its changes, what is worth keeping."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make a table for each."""
    op.create_table(
        "racks",
        sa.Column("owner", sa.String(length=26), nullable=False),
        sa.Column("smallest", sa.Text(), nullable=False, comment="JSON of the smallest leftover worth keeping"),
        sa.Column("numbered", sa.Integer(), nullable=False, comment="last number given as a label"),
        sa.PrimaryKeyConstraint("owner", name=op.f("pk_racks")),
    )
    op.create_table(
        "rack_pieces",
        sa.Column("owner", sa.String(length=26), nullable=False),
        sa.Column("label", sa.String(length=16), nullable=False),
        sa.Column("document", sa.Text(), nullable=False, comment="JSON of the piece"),
        sa.Column("created", sa.Double(), nullable=False),
        sa.PrimaryKeyConstraint("owner", "label", name=op.f("pk_rack_pieces")),
    )
    op.create_table(
        "rack_changes",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("owner", sa.String(length=26), nullable=False),
        sa.Column("document", sa.Text(), nullable=False, comment="JSON: in words, the pieces taken, the pieces given"),
        sa.Column(
            "plan", sa.String(length=26), nullable=False, comment="that was ticked off; empty: somebody's own change"
        ),
        sa.Column("created", sa.Double(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rack_changes")),
    )
    with op.batch_alter_table("rack_changes", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_rack_changes_owner_rack_changes_id"), ["owner", "id"], unique=False)
