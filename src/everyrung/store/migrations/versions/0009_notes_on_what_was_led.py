"""Notes on what was led."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("led") as table:
        table.add_column(sa.Column("notes", sa.Text(), server_default="", nullable=False))


def downgrade() -> None:
    with op.batch_alter_table("led") as table:
        table.drop_column("notes")
