"""Snapshots say by which way of adding up they were made; made anew."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.drop_table("snapshots")  # made again from the entries
    op.create_table(
        "snapshots",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("latest_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("latest_said", sa.DateTime(timezone=True), nullable=False),
        sa.Column("folding", sa.Integer(), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "seq"),
    )
