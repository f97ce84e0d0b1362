"""What several studios on one database know of each other: jobs, wrong tries, pictures."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "studio",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("beat_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_studio")),
    )
    op.create_table(
        "job",
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("slot", sa.String(length=200), nullable=False),
        sa.Column("studio_id", sa.String(length=32), nullable=False),
        sa.Column("with_people", sa.Boolean(), nullable=False),
        sa.Column("cancelled", sa.Boolean(), nullable=False),
        sa.Column("finished", sa.Boolean(), nullable=False),
        sa.Column("progress", sa.LargeBinary(), nullable=True),
        sa.Column("result", sa.LargeBinary(), nullable=True),
        sa.Column("at_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_job")),
    )
    op.create_index(op.f("ix_job_slot"), "job", ["slot"])
    op.create_table(
        "wrong_try",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("address", sa.String(length=100), nullable=False),
        sa.Column("at_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_wrong_try")),
    )
    op.create_index(op.f("ix_wrong_try_kind_address"), "wrong_try", ["kind", "address"])
    op.create_table(
        "picture",
        sa.Column("name", sa.String(length=20), nullable=False),
        sa.Column("asked", sa.LargeBinary(), nullable=False),
        sa.Column("at_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_picture")),
    )


def downgrade() -> None:
    for name in ("picture", "wrong_try", "job", "studio"):
        op.drop_table(name)
