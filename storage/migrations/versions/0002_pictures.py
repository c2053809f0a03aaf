"""Photos: which message brought each, what it shows, and the hash its file is named by."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "pictures",
        sa.Column("message", sa.Integer(), nullable=False),
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("names", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["message"],
            ["messages.id"],
        ),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("message"),
    )
    op.create_index("pictures_by_time", "pictures", ["room", "kept_at"], unique=False)
