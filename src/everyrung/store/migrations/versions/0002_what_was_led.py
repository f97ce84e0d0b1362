"""What was really led."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "led",
        sa.Column("id", sa.String(length=40), nullable=False),
        sa.Column("session_id", sa.String(length=32), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("started_ms", sa.BigInteger(), nullable=False),
        sa.Column("log", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["session.id"], name=op.f("fk_led_session_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_led")),
    )
    with op.batch_alter_table("led", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_led_session_id"), ["session_id"], unique=False)


def downgrade() -> None:
    op.drop_table("led")
