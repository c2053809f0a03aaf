"""Texts that wait for a gateway to fetch them, which were lost with a restart."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.create_table(
        "waiting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("door", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("put", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
    )
