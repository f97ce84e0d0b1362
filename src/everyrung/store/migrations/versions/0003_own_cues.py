"""Words of the coach's own."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "own_cue",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("move", sa.String(length=100), nullable=False),
        sa.Column("rung", sa.String(length=100), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_cue")),
        sa.UniqueConstraint("move", "rung", "kind", "text", name=op.f("uq_own_cue_move_rung_kind_text")),
    )


def downgrade() -> None:
    op.drop_table("own_cue")
