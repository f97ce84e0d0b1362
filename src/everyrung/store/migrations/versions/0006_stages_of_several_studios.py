"""Which of several studios holds a stage, and what they have to say to each other about it."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "message",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("studio_id", sa.String(length=32), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_message")),
    )
    op.create_index(op.f("ix_message_studio_id"), "message", ["studio_id"])
    op.create_table(
        "stage",
        sa.Column("session_id", sa.String(length=32), nullable=False),
        sa.Column("studio_id", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=op.f("fk_stage_session_id_session"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("session_id", name=op.f("pk_stage")),
    )


def downgrade() -> None:
    for name in ("stage", "message"):
        op.drop_table(name)
