"""Indices for what is asked at every message, which must not take longer with the years; snapshots made anew."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_index("messages_by_person", "messages", ["room", "person", "sent", "id"], unique=False)
    op.drop_index("questions_open", "questions")
    op.create_index(
        "questions_open",
        "questions",
        ["room", "person", "chat", "asked"],
        unique=False,
        sqlite_where=sa.text("settled IS NULL"),
        postgresql_where=sa.text("settled IS NULL"),
    )
    op.execute("DELETE FROM snapshots")  # made again from the entries
