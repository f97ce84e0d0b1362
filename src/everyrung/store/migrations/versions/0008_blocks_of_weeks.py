"""Blocks of weeks, with the plans of their evenings and who comes."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "block",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("asked", sa.Text(), nullable=False),
        sa.Column("start", sa.String(length=10), nullable=False),
        sa.Column("calendar", sa.Text(), nullable=False),
        sa.Column("bounds", sa.Text(), nullable=False),
        sa.Column("updated_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_block")),
    )
    op.create_table(
        "block_evening",
        sa.Column("block_id", sa.String(length=32), nullable=False),
        sa.Column("day", sa.String(length=10), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("session_id", sa.String(length=32), nullable=True),
        sa.ForeignKeyConstraint(
            ["block_id"], ["block.id"], name=op.f("fk_block_evening_block_id_block"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=op.f("fk_block_evening_session_id_session"), ondelete="SET NULL"
        ),
        sa.PrimaryKeyConstraint("block_id", "day", name=op.f("pk_block_evening")),
    )
    op.create_table(
        "block_person",
        sa.Column("block_id", sa.String(length=32), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["block_id"], ["block.id"], name=op.f("fk_block_person_block_id_block"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_block_person_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("block_id", "person_id", name=op.f("pk_block_person")),
    )


def downgrade() -> None:
    for table in ("block_person", "block_evening", "block"):
        op.drop_table(table)
