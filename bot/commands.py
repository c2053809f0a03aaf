"""The command line: one word, what it needs, and the code elsewhere that does it.

Exit 0: done; 1: it could not be done (a clear line on standard error, nothing half-written); 2: wrong use.
"""

from __future__ import annotations

import argparse
import datetime as dt
import gc
import os
import sys
import uuid
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bot.command_line import record_commands, usage
from bot.command_line.opened_room import CommandTrouble, book_of, close_all, database_of, moment, now_in, print_json
from bot.command_line.usage import Command

_MADE_BEFORE_A_LOOK = 50_000  # new things before Python looks for rubbish: starting makes many and throws few away


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit status. Without `argv` this is the whole program, and it ends with the command."""
    if argv is not None:
        return _run(argv)
    gc.set_threshold(_MADE_BEFORE_A_LOOK)
    try:
        return _run(argv)
    finally:
        gc.freeze()  # all goes with the process: it need not be gone through once more


def _run(argv: Sequence[str] | None) -> int:
    from bot.command_line.setup import CardTrouble
    from storage.trouble import StorageTrouble

    args = usage.parser(_RUNS).parse_args(argv)
    run: Command = args.run
    try:
        status = run(args)
        sys.stdout.flush()
        return status
    except (CommandTrouble, CardTrouble, StorageTrouble) as trouble:
        print(f"roomhand: {trouble}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    except OSError as trouble:
        # The answer could not be written; what was logged stays logged. Nothing more may go to that stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(trouble, BrokenPipeError):
            print(f"roomhand: {trouble.strerror or trouble}; the answer could not be written", file=sys.stderr)
        return 1
    finally:
        close_all()


# ---- talking


def _chat(args: argparse.Namespace) -> int:
    from bot.channels.terminal import chat

    return chat(book_of(args, make=True), name=args.name)


def _try(args: argparse.Namespace) -> int:
    from bot.channels.terminal import chat
    from bot.command_line.demo import demo_room

    with demo_room(dt.datetime.now(dt.UTC)) as book:
        return chat(book, name="Rosa", demo=True)


def _setup(args: argparse.Namespace) -> int:
    from bot.command_line.setup import read_card, set_up

    card = read_card(args.card)
    book, count = set_up(database_of(args), card, dt.datetime.now(card.zone))
    print(f"{book.info.name}: {count} things taken over from the card." if count else f"{book.info.name}: nothing new.")
    return 0


def _say(args: argparse.Namespace) -> int:
    from bot.hear import hear
    from storage.journal import Message

    book = book_of(args, make=True)
    person = book.person_named(args.name or _who(book))
    sent = moment(args.at, book) or now_in(book)
    message = Message("say", args.delivery or uuid.uuid4().hex, f"say:{person.key}", person.key, args.text, sent)
    reply = hear(book, message)
    if args.json:
        print_json(reply.payload())
    else:
        print(reply.text)
        if reply.options:
            print(f"[{' | '.join(reply.options)}]")
    return 0


def _who(book: Any) -> str:
    """Who speaks at this machine when nobody says: the room's first person, else keeper."""
    people = [p for p in book.people() if p.name]
    return people[0].name if people else "keeper"


def _replay(args: argparse.Namespace) -> int:
    from bot.command_line.replay import replay

    return replay(book_of(args, make=True), args.file)


def _read(args: argparse.Namespace) -> int:
    from bot.command_line.setup import read_card
    from bot.language import read_lines

    read_card(args.room_card)
    return read_lines(args.room_card, sys.stdin, sys.stdout) or 0


# ---- running


def _invite(args: argparse.Namespace) -> int:
    book = book_of(args, make=True)
    code = book.invite(args.role)
    print(f"Send this as the first message (or /start {code}): {code}")
    return 0


def _serve(args: argparse.Namespace) -> int:
    from bot.channels.serve import serve
    from bot.command_line import asked_settings
    from bot.logs import be_quiet
    from bot.settings import Settings, SettingsError, is_there, read_settings, settings_file

    def book(settings: Settings) -> Any:
        args.db, args.room, args.state = args.db or settings.db, args.room or settings.room, settings.state_folder
        return book_of(args, make=True)

    file = settings_file()
    try:
        there = asked_settings.at_a_terminal()
        if args.ask and not there:
            raise SettingsError("--ask asks in a terminal, and this is none; nothing was changed")
        # A settings file that is named but not there yet is made, where somebody can be asked.
        settings: Settings | None = read_settings(file=None if is_there(file) or not there else Path(os.devnull))
        if args.ask or not settings or not (settings.telegram_token or settings.sms_gateway):
            if not there:
                raise SettingsError(asked_settings.NO_DOOR.format(file=file))
            be_quiet()
            settings = asked_settings.walk_through(file, os.environ, book)
    except SettingsError as trouble:
        raise CommandTrouble(str(trouble)) from None
    except EOFError:
        raise CommandTrouble("the answers ended early; nothing was written") from None
    if settings is None:
        print("Later: `roomhand serve` opens them.")
        return 0
    be_quiet(settings.secrets)
    return serve(book(settings), settings)


def _release(args: argparse.Namespace) -> int:
    from bot.command_line.doctor import release

    status, told = release(book_of(args), args.what, args.key, dt.datetime.now(dt.UTC))
    if status:
        raise CommandTrouble(told)
    print(told)
    return 0


def _doctor(args: argparse.Namespace) -> int:
    from bot.command_line.doctor import examine

    return examine(args.db)


_RUNS: dict[str, Command] = {
    **record_commands.RUNS,
    "chat": _chat,
    "try": _try,
    "setup": _setup,
    "say": _say,
    "replay": _replay,
    "read": _read,
    "invite": _invite,
    "release": _release,
    "serve": _serve,
    "doctor": _doctor,
}


if __name__ == "__main__":
    raise SystemExit(main())
