"""Rooms, and which session is held in which."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "room",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_room")),
        sa.UniqueConstraint("name", name=op.f("uq_room_name")),
    )
    op.create_table(
        "venue",
        sa.Column("session_id", sa.String(length=32), nullable=False),
        sa.Column("room_id", sa.Integer(), nullable=False),
        sa.Column("people", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["room_id"], ["room.id"], name=op.f("fk_venue_room_id_room"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=op.f("fk_venue_session_id_session"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("session_id", name=op.f("pk_venue")),
    )


def downgrade() -> None:
    op.drop_table("venue")
    op.drop_table("room")
