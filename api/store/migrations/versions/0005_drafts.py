"""What was typed into the project form, faults and all."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table of drafts."""
    op.create_table(
        "drafts",
        sa.Column("project", sa.String(length=26), nullable=False, comment="id of the project that it is or becomes"),
        sa.Column("owner", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("typed", sa.Text(), nullable=False, comment="JSON of the form as it was typed, faults and all"),
        sa.Column("version", sa.Integer(), nullable=False, comment="of the project that it stands beside; 0: none yet"),
        sa.Column("faults", sa.Integer(), nullable=False),
        sa.Column("tab", sa.String(length=32), nullable=False, comment="who typed last"),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("created", sa.Double(), nullable=False),
        sa.Column("changed", sa.Double(), nullable=False),
        sa.PrimaryKeyConstraint("project", name=op.f("pk_drafts")),
    )
    op.create_index(op.f("ix_drafts_owner_drafts_project"), "drafts", ["owner", "project"])
