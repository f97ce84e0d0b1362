"""Phones that were paired with a session, and its code."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "pairing",
        sa.Column("session_id", sa.String(length=32), nullable=False),
        sa.Column("code", sa.String(length=6), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=op.f("fk_pairing_session_id_session"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("session_id", name=op.f("pk_pairing")),
    )
    op.create_table(
        "phone",
        sa.Column("session_id", sa.String(length=32), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("paired_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=op.f("fk_phone_session_id_session"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("session_id", "digest", name=op.f("pk_phone")),
    )


def downgrade() -> None:
    op.drop_table("phone")
    op.drop_table("pairing")
