"""The first form: rooms, people, messages, entries and what is kept beside them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    op.create_table(
        "rooms",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("timezone", sa.String(), nullable=False),
        sa.Column("units", sa.String(), nullable=False),
        sa.Column("gallon", sa.String(), nullable=False),
        sa.Column("nitrogen_as", sa.String(), nullable=False),
        sa.Column("date_order", sa.String(), nullable=True),
        sa.Column("currency", sa.String(), nullable=True),
        sa.Column("salt", sa.LargeBinary(), nullable=False),
        sa.Column("head", sa.Integer(), nullable=False),
        sa.Column("latest_at", MOMENT, nullable=True),
        sa.Column("people_made", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("name"),
    )
    op.create_table(
        "addresses",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("door", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "door", "address"),
    )
    op.create_table(
        "claims",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("claimed", MOMENT, nullable=False),
        sa.Column("confirmed", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "what", "key"),
    )
    op.create_table(
        "entry_words",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "seq"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "invitations",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("code_hash", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("made", MOMENT, nullable=False),
        sa.Column("ends", MOMENT, nullable=False),
        sa.Column("used", MOMENT, nullable=True),
        sa.Column("used_by", sa.String(), nullable=True),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "code_hash"),
    )
    op.create_table(
        "knocks",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("door", sa.String(), nullable=False),
        sa.Column("address_hash", sa.String(), nullable=False),
        sa.Column("first", MOMENT, nullable=False),
        sa.Column("last", MOMENT, nullable=False),
        sa.Column("times", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "door", "address_hash"),
    )
    op.create_table(
        "mentions",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "name", "at", "seq"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "messages",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("door", sa.String(), nullable=False),
        sa.Column("delivery", sa.String(), nullable=False),
        sa.Column("chat", sa.String(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("sent", MOMENT, nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
        sa.UniqueConstraint("room", "door", "delivery", name="messages_once"),
    )
    op.create_index("messages_by_time", "messages", ["room", "sent", "id"], unique=False)
    op.create_table(
        "people",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("joined", MOMENT, nullable=True),
        sa.Column("removed", MOMENT, nullable=True),
        sa.Column("forgotten", MOMENT, nullable=True),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "key"),
    )
    op.create_table(
        "retractions",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("by", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "seq"),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "snapshots",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("latest_at", MOMENT, nullable=False),
        sa.Column("latest_said", MOMENT, nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "seq"),
    )
    op.create_table(
        "entries",
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("at", MOMENT, nullable=False),
        sa.Column("said", MOMENT, nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("message", sa.Integer(), nullable=False),
        sa.Column("late", sa.Boolean(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["message"],
            ["messages.id"],
        ),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.PrimaryKeyConstraint("room", "seq"),
        sqlite_with_rowid=False,
    )
    op.create_index("entries_by_kind", "entries", ["room", "kind", "at", "seq"], unique=False)
    op.create_index("entries_by_message", "entries", ["message"], unique=False)
    op.create_index("entries_by_time", "entries", ["room", "at", "seq"], unique=False)
    op.create_index(
        "entries_late",
        "entries",
        ["room", "at"],
        unique=False,
        sqlite_where=sa.text("late"),
        postgresql_where=sa.text("late"),
    )
    op.create_table(
        "message_words",
        sa.Column("message", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("outcome", sa.String(), nullable=True),
        sa.Column("reply", sa.String(), nullable=True),
        sa.Column("payload", sa.String(), nullable=True),
        sa.ForeignKeyConstraint(
            ["message"],
            ["messages.id"],
        ),
        sa.PrimaryKeyConstraint("message"),
    )
    op.create_table(
        "questions",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("room", sa.Integer(), nullable=False),
        sa.Column("person", sa.String(), nullable=False),
        sa.Column("chat", sa.String(), nullable=False),
        sa.Column("asked", MOMENT, nullable=False),
        sa.Column("message", sa.Integer(), nullable=False),
        sa.Column("settled", sa.Integer(), nullable=True),
        sa.Column("body", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["message"],
            ["messages.id"],
        ),
        sa.ForeignKeyConstraint(
            ["room"],
            ["rooms.id"],
        ),
        sa.ForeignKeyConstraint(
            ["settled"],
            ["messages.id"],
        ),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index(
        "questions_open",
        "questions",
        ["room", "person", "chat"],
        unique=False,
        sqlite_where=sa.text("settled IS NULL"),
        postgresql_where=sa.text("settled IS NULL"),
    )
