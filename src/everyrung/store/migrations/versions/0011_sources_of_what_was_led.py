"""What there is of a show beside its log."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "led_source",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("led_id", sa.String(length=40), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("zone", sa.String(length=60), nullable=False),
        sa.Column("limits_rate", sa.Boolean(), nullable=False),
        sa.Column("sealed", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["led_id"], ["led.id"], name=op.f("fk_led_source_led_id_led"), ondelete="CASCADE"),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_led_source_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_led_source")),
    )
    op.create_index(op.f("ix_led_source_led_id"), "led_source", ["led_id"])
    op.create_index(op.f("ix_led_source_person_id"), "led_source", ["person_id"])


def downgrade() -> None:
    op.drop_table("led_source")
