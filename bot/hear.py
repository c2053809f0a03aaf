"""One message in, one reply out: `hear` knows no channel and no clock.

The message, what it logs and the reply are kept in one transaction; a repeated delivery gets the same reply.
"""

from __future__ import annotations

from bot.reply import Reply
from bot.talk.conversation import Conversation
from storage.journal import Message, RoomBook

__all__ = ["Reply", "hear"]


def hear(
    book: RoomBook,
    message: Message,
    *,
    about: str | None = None,
    edited: str | None = None,
    picture: bytes | None = None,
) -> Reply:
    """Take one message in and say what goes back.

    `about`: the delivery id of the message this one replies to; `edited`: of the message it is the new wording of;
    `picture`: the photo whose caption it is, which may be empty.
    """
    with book.turn(message) as turn:
        if turn.earlier is not None:
            return Reply.again(turn.earlier)
        reply = Conversation(book, turn, message).respond(about=about, edited=edited, picture=picture)
        turn.reply(*reply.kept(), reply.outcome)
        return reply
