"""The first tables: keys, projects, plans, their events and files."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make them."""
    op.create_table(
        "keys",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column(
            "hash", sa.String(length=64), nullable=False, comment="SHA-256 of the key; the key itself is nowhere"
        ),
        sa.Column("created", sa.Double(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_keys")),
        sa.UniqueConstraint("hash", name=op.f("uq_keys_hash")),
        sa.UniqueConstraint("name", name=op.f("uq_keys_name")),
    )
    op.create_table(
        "projects",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("owner", sa.String(length=26), nullable=False, comment="id of a key, or local"),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("document", sa.Text(), nullable=False, comment="as it was handed in"),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created", sa.Double(), nullable=False),
        sa.Column("changed", sa.Double(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_projects")),
    )
    with op.batch_alter_table("projects", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_projects_owner_projects_id"), ["owner", "id"], unique=False)

    op.create_table(
        "secrets",
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("value", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_secrets")),
    )
    op.create_table(
        "plans",
        sa.Column("id", sa.String(length=26), nullable=False),
        sa.Column("project", sa.String(length=26), nullable=False),
        sa.Column("owner", sa.String(length=26), nullable=False),
        sa.Column("document", sa.Text(), nullable=False, comment="the project as it was when the plan was asked for"),
        sa.Column("version", sa.Integer(), nullable=False, comment="of the project"),
        sa.Column("seconds", sa.Double(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("cost", sa.Double(), nullable=True),
        sa.Column("cost_bound", sa.Double(), nullable=True),
        sa.Column("phase", sa.String(length=200), nullable=True),
        sa.Column("proven", sa.Boolean(), nullable=True),
        sa.Column("summary", sa.Text(), nullable=True, comment="JSON list of sentences"),
        sa.Column("problem", sa.Text(), nullable=True, comment="JSON problem document of a plan that failed"),
        sa.Column("finish_early", sa.Boolean(), nullable=False),
        sa.Column("attempt", sa.Integer(), nullable=False, comment="counts the claims; a fence against late results"),
        sa.Column("deaths", sa.Integer(), nullable=False, comment="workers that died over it"),
        sa.Column("due", sa.Double(), nullable=False, comment="not to be claimed before"),
        sa.Column("server", sa.String(length=32), nullable=True, comment="who works on it"),
        sa.Column("heartbeat", sa.Double(), nullable=True),
        sa.Column("created", sa.Double(), nullable=False),
        sa.Column("started", sa.Double(), nullable=True),
        sa.Column("finished", sa.Double(), nullable=True),
        sa.Column("idempotency_key", sa.String(length=200), nullable=True),
        sa.Column(
            "fingerprint", sa.String(length=64), nullable=True, comment="SHA-256 of the request that came with the key"
        ),
        sa.ForeignKeyConstraint(["project"], ["projects.id"], name=op.f("fk_plans_project"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plans")),
        sa.UniqueConstraint("owner", "idempotency_key", name=op.f("uq_plans_owner_idempotency_key")),
    )
    with op.batch_alter_table("plans", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_plans_project_plans_id"), ["project", "id"], unique=False)
        batch_op.create_index(batch_op.f("ix_plans_state_plans_id"), ["state", "id"], unique=False)

    op.create_table(
        "events",
        sa.Column("plan", sa.String(length=26), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("data", sa.Text(), nullable=False),
        sa.Column("created", sa.Double(), nullable=False),
        sa.ForeignKeyConstraint(["plan"], ["plans.id"], name=op.f("fk_events_plan"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("plan", "seq", name=op.f("pk_events")),
    )
    op.create_table(
        "files",
        sa.Column("plan", sa.String(length=26), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["plan"], ["plans.id"], name=op.f("fk_files_plan"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("plan", "name", name=op.f("pk_files")),
    )
