"""The terminal door: a line typed is a message; piped input is one message a line."""

from __future__ import annotations

import datetime as dt
import os
import sys
import tempfile
import uuid

from bot.hear import Reply, hear
from storage.journal import Message, RoomBook
from storage.pictures import is_page, kind_of
from storage.trouble import StorageTrouble

_LEAVE = frozenset(("quit", "exit", "bye", "/quit"))


def chat(book: RoomBook, *, name: str | None = None, demo: bool = False) -> int:
    """Talk until the input ends; 0, or 1 when something could not be kept."""
    people = [p for p in book.people() if p.name]
    person = book.person_named(name or (people[0].name if people else "keeper"))
    typed = sys.stdin.isatty()
    colour = _in_colour()
    if typed:
        _line_editing()
        print(_greeting(book, demo))
    options: tuple[str, ...] = ()
    failed = 0
    for text in _lines(typed):
        if typed and text.strip().casefold() in _LEAVE:
            break
        if typed and not text.strip():
            continue
        if text.strip().isdigit() and options and 1 <= int(text) <= len(options) and not _is_label(text, options):
            text = options[int(text) - 1] if typed else text
        now = dt.datetime.now(book.info.zone)
        message = Message("terminal", uuid.uuid4().hex, f"terminal:{person.key}", person.key, text, now)
        try:
            reply = hear(book, message)
        except StorageTrouble as trouble:
            print(trouble)
            failed = 1
            continue
        options = reply.options
        print(shown(reply, colour), flush=True)
    return failed


def _in_colour() -> bool:
    """Where there is a terminal that has colours, and nobody asked for none (no-color.org)."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _is_label(text: str, options: tuple[str, ...]) -> bool:
    """Whether the digits already name one of the choices (“5” for tank 5)."""
    return any(o.split()[-1:] == [text.strip()] for o in options)


def shown(reply: Reply, colour: bool) -> str:
    """A reply with its choices on a line of their own."""
    text = reply.text
    if reply.options:
        choices = " | ".join(reply.options)
        text = f"{text}\n[{choices}]"
    if reply.picture:
        text = f"{text}\n{_kept(reply.picture)}"
    return f"\x1b[36m{text}\x1b[0m" if colour else text


def _kept(picture: bytes) -> str:
    """A terminal shows no pictures and pages: where it was put instead."""
    kind = "pdf" if is_page(picture) else kind_of(picture) or "png"
    with tempfile.NamedTemporaryFile(prefix="roomhand-", suffix=f".{kind}", delete=False) as file:
        file.write(picture)
    return f"{'Page' if kind == 'pdf' else 'Picture'}: {file.name}"


def _greeting(book: RoomBook, demo: bool) -> str:
    if demo:
        return (
            "The demo room, with some weeks of history; nothing here is kept.\n"
            "Try: pulled mop tank 3, 40 eggs · what's due · tank 3 · when does B22 hatch · undo · quit"
        )
    return f"{book.info.name}. Write a note or ask; “help” shows how, “quit” leaves."


def _lines(typed: bool):  # type: ignore[no-untyped-def]
    while True:
        try:
            if typed:
                yield input("> ")
            else:
                line = sys.stdin.readline()
                if not line:
                    return
                yield line.rstrip("\r\n")
        except EOFError:
            print()
            return


def _line_editing() -> None:
    """Arrow keys and history, where the machine has them."""
    try:
        import readline
    except ImportError:
        return
    readline.set_history_length(500)
