"""The first form: sessions with revisions, people, health answers, own rungs."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "own_rung",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("move", sa.String(length=100), nullable=False),
        sa.Column("rung", sa.String(length=100), nullable=False),
        sa.Column("levers", sa.Text(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("entry_test", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_rung")),
        sa.UniqueConstraint("move", "name", name=op.f("uq_own_rung_move_name")),
    )
    with op.batch_alter_table("own_rung", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_own_rung_move"), ["move"], unique=False)

    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("folded", sa.String(length=200), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("folded", name=op.f("uq_person_folded")),
    )
    op.create_table(
        "session",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("slot_minutes", sa.Integer(), nullable=False),
        sa.Column("archived", sa.Boolean(), nullable=False),
        sa.Column("updated_ms", sa.BigInteger(), nullable=False),
        sa.Column("head", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_session")),
    )
    with op.batch_alter_table("session", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_session_updated_ms"), ["updated_ms"], unique=False)

    op.create_table(
        "health",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("sealed", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_health_person_id"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("person_id", name=op.f("pk_health")),
    )
    op.create_table(
        "revision",
        sa.Column("session_id", sa.String(length=32), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("parent", sa.Integer(), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("title", sa.String(length=200), nullable=False),
        sa.Column("slot_minutes", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(length=300), nullable=False),
        sa.Column("at_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(
            ["session_id"], ["session.id"], name=op.f("fk_revision_session_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("session_id", "number", name=op.f("pk_revision")),
    )
    with op.batch_alter_table("revision", schema=None) as batch_op:
        batch_op.create_index("ix_revision_session_id_parent", ["session_id", "parent"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("revision", schema=None) as batch_op:
        batch_op.drop_index("ix_revision_session_id_parent")

    op.drop_table("revision")
    op.drop_table("health")
    with op.batch_alter_table("session", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_session_updated_ms"))

    op.drop_table("session")
    op.drop_table("person")
    with op.batch_alter_table("own_rung", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_own_rung_move"))

    op.drop_table("own_rung")
