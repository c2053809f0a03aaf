"""What a Telegram update says: from an update to somebody's words, or to nothing."""

from __future__ import annotations

import datetime as dt
import functools
import re
from collections.abc import Callable
from dataclasses import dataclass

from telegram import CallbackQuery, Message, Update, User
from telegram.constants import ChatType

from bot.channels.doorstep import Words
from storage.messages import edit_of

DOOR = "telegram"
NO_WORDS = "I read text and keep photos, nothing else. Nothing was logged."
FORWARDED = "That is forwarded, so I don't know when it was or if it is told already. Nothing was logged; write it."
WANTED = ["message", "edited_message", "callback_query"]
_COMMAND = re.compile(r"^/([A-Za-z0-9_]{1,32})(?:@(\w+))?(?=\s|$)\s*")


@dataclass(frozen=True)
class Heard:
    """Somebody's words with what is needed to answer them."""

    words: Words
    chat: int
    message: int  # what an answer refers to
    quote: bool  # whether an answer has to show what it answers
    picture: str | None = None  # a photo's file id
    tap: CallbackQuery | None = None
    unheard: str = ""  # what is said to a member about something that is not heard as words


def heard(
    update: Update, me: User, answered_by: Callable[[str, int], int | None], now: Callable[[], dt.datetime]
) -> Heard | None:
    """The words in an update, or None where there is nothing for us to hear.

    `answered_by(chat, number)` tells which message of a chat our own message answered.
    """
    if update.callback_query:
        return _tapped(update.callback_query, now)
    message = update.message or update.edited_message
    if message is None or message.from_user is None or message.from_user.is_bot or message.sender_chat:
        return None
    chat = message.chat
    if chat.type == ChatType.CHANNEL:
        return None
    text = message.text or message.caption or ""
    reply = message.reply_to_message
    to_me = reply is not None and reply.from_user is not None and reply.from_user.id == me.id
    group = chat.type != ChatType.PRIVATE
    named, text = _addressed(text, me.username or "")
    if group and not (named or to_me):
        return None
    delivery = f"{chat.id}:{message.message_id}"
    about = None
    if reply is not None and reply.chat.id == chat.id:
        original = answered_by(str(chat.id), reply.message_id) if to_me else reply.message_id
        about = f"{chat.id}:{original or reply.message_id}"
    edited = None
    if update.edited_message:
        edited = delivery
        delivery = edit_of(delivery, int((message.edit_date or message.date).timestamp()), text)
    unheard = FORWARDED if message.forward_origin else NO_WORDS if _wordless(message) and not edited else ""
    return Heard(
        Words(
            DOOR,
            str(message.from_user.id),
            message.from_user.full_name,
            str(chat.id),
            delivery,
            text,
            message.date,  # of an edit too: what is told happened when it was first told
            about,
            edited,
        ),
        chat=chat.id,
        message=message.message_id,
        quote=group or edited is not None or now() - message.date > dt.timedelta(minutes=1),
        picture=None if unheard else _picture(message),
        unheard=unheard,
    )


def _addressed(text: str, username: str) -> tuple[bool, str]:
    """Whether we are called by name, and the words without the name and the slash of a command."""
    command = _COMMAND.match(text)
    if command:
        if command[2] and command[2].casefold() != username.casefold():
            return False, text
        rest = text[command.end() :]
        return bool(command[2]), f"{command[1].replace('_', ' ')} {rest}".strip()
    bare, found = _called(username).subn("", text) if "@" in text else (text, 0)
    return found > 0, bare.strip()


@functools.cache
def _called(username: str) -> re.Pattern[str]:
    """Our name, called in the middle of words."""
    return re.compile(rf"@{re.escape(username)}\b[,:]?\s*", re.IGNORECASE)


def _wordless(message: Message) -> bool:
    """A sticker, a voice note, a place: nothing we can read. Service messages are no message at all."""
    return not (message.text or message.caption or _picture(message)) and bool(message.effective_attachment)


def _picture(message: Message) -> str | None:
    """The file of a photo, in its largest size; also of a picture sent as a file."""
    if message.photo:
        return message.photo[-1].file_id
    file = message.document
    return file.file_id if file and (file.mime_type or "").startswith("image/") else None


def _tapped(tap: CallbackQuery, now: Callable[[], dt.datetime]) -> Heard | None:
    """A tap on a button is the button's words; a second tap on the same question is the same delivery."""
    message = tap.message
    if not isinstance(message, Message) or message.reply_markup is None:
        return None
    for row in message.reply_markup.inline_keyboard:
        for button in row:
            if button.callback_data == tap.data:
                about = (tap.data or "").split(":", 2)[2:]
                words = Words(
                    DOOR,
                    str(tap.from_user.id),
                    tap.from_user.full_name,
                    str(message.chat.id),
                    f"{message.chat.id}:{message.message_id}:tap",
                    button.text,
                    now(),
                    about[0] if about else None,
                )
                return Heard(words, message.chat.id, message.message_id, quote=False, tap=tap)
    return None


def button_data(index: int, asked: str, about: str | None = None) -> str:
    """What a button sends back: its number, whom it was shown to, what it is about (64 bytes at most)."""
    return f"{index}:{asked}{f':{about}' if about else ''}"[:64]


def meant_for(tap: CallbackQuery) -> bool:
    """Whether the person who tapped is the one who was asked."""
    return (tap.data or "").split(":", 2)[1:2] == [str(tap.from_user.id)]
