"""The command line: one word, what it needs, and the code elsewhere that does it.

Exit 0: done; 1: it could not be done (a clear line on standard error, nothing half-written); 2: wrong use.
"""

from __future__ import annotations

import argparse
import datetime as dt
import json
import os
import sys
import uuid
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bot import usage
from bot.usage import Command


class CommandTrouble(Exception):
    """Something a command cannot do, in a sentence."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit status."""
    from bot.setup import CardTrouble
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
        while _OPENED:
            _OPENED.pop().close()


# ---- shared by the commands


_OPENED: list[Any] = []


def _database(args: argparse.Namespace, *, create: bool = True) -> Any:
    from storage.engine import open_database

    state = getattr(args, "state", None) or _kept("ROOMHAND_STATE")
    photos = Path(state) / "pictures" if state else None
    _OPENED.append(open_database(args.db or _kept("ROOMHAND_DB"), create=create, pictures=photos))
    return _OPENED[-1]


def _kept(name: str) -> str | None:
    """A setting from the environment or the settings file: every command is about the room that is served."""
    from bot.settings import SettingsError, lines_of, settings_file

    try:
        return os.environ.get(name) or lines_of(settings_file()).get(name) or None
    except SettingsError as trouble:
        raise CommandTrouble(str(trouble)) from None


def _book(args: argparse.Namespace, *, make: bool = False) -> Any:
    """The room meant. With `make`, an empty one where there is none yet."""
    from shared.room import RoomCard

    database = _database(args)
    args.room = args.room or _kept("ROOMHAND_ROOM")
    if make and not database.rooms():
        return database.create_room(RoomCard(name=args.room or "my room", timezone=_own_zone()))
    return database.room(args.room)


def _own_zone() -> str:
    """This machine's time zone by name, or UTC."""
    try:
        link = os.readlink("/etc/localtime")
    except OSError:
        return os.environ.get("TZ") or "UTC"
    return link.split("zoneinfo/")[-1] if "zoneinfo/" in link else "UTC"


def _moment(text: str | None, book: Any) -> dt.datetime | None:
    """A time as written on the command line, in the room's zone where it names none."""
    if text is None:
        return None
    try:
        at = dt.datetime.fromisoformat(text)
    except ValueError:
        raise CommandTrouble(f"“{text}” is not a time; write it like 2026-03-09T18:30") from None
    return at if at.tzinfo else at.replace(tzinfo=book.info.zone)


def _now(book: Any) -> dt.datetime:
    return dt.datetime.now(book.info.zone)


def _print_json(value: Any) -> None:
    print(json.dumps(value, ensure_ascii=False, indent=2, default=str))


# ---- talking


def _chat(args: argparse.Namespace) -> int:
    from bot.channels.terminal import chat

    return chat(_book(args, make=True), name=args.name)


def _try(args: argparse.Namespace) -> int:
    from bot.channels.terminal import chat
    from bot.demo import demo_room

    with demo_room(dt.datetime.now(dt.UTC)) as book:
        return chat(book, name="Rosa", demo=True)


def _setup(args: argparse.Namespace) -> int:
    from bot.setup import read_card, set_up

    card = read_card(args.card)
    book, count = set_up(_database(args), card, dt.datetime.now(card.zone))
    print(f"{book.info.name}: {count} things taken over from the card." if count else f"{book.info.name}: nothing new.")
    return 0


def _say(args: argparse.Namespace) -> int:
    from bot.hear import hear
    from storage.journal import Message

    book = _book(args, make=True)
    person = book.person_named(args.name or _who(book))
    sent = _moment(args.at, book) or _now(book)
    message = Message("say", args.delivery or uuid.uuid4().hex, f"say:{person.key}", person.key, args.text, sent)
    reply = hear(book, message)
    if args.json:
        _print_json(reply.payload())
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
    from bot.replay import replay

    return replay(_book(args, make=True), args.file)


def _read(args: argparse.Namespace) -> int:
    from bot.language import read_lines
    from bot.setup import read_card

    read_card(args.room_card)
    return read_lines(args.room_card, sys.stdin, sys.stdout) or 0


# ---- asking


def _due(args: argparse.Namespace) -> int:
    from bot.chores import due_json, due_list, listed

    book = _book(args)
    at = _moment(args.at, book)
    now = at or _now(book)
    tasks = due_list(book.standing(at=at), book, now.astimezone(book.info.zone), days=args.days)
    if args.json:
        _print_json([due_json(t, now) for t in tasks])
    else:
        print(listed(tasks, now, most=200) if tasks else "Nothing is due.")
    return 0


def _summary(args: argparse.Namespace) -> int:
    from bot.nightly import nightly, nightly_picture

    book = _book(args)
    now = (_moment(args.at, book) or _now(book)).astimezone(book.info.zone)
    print(nightly(book, now))
    if args.chart:
        picture = nightly_picture(book, now)
        if picture is None:
            raise CommandTrouble("there is too little on record for a chart; none was written")
        args.chart.write_bytes(picture)
    return 0


def _hatch(args: argparse.Namespace) -> int:
    from bot.figures import batch_hatch_json, batch_hatch_text, celsius, hatch_json, hatch_text

    if args.batch:
        book = _book(args)
        at = _moment(args.at, book)
        now = (at or _now(book)).astimezone(book.info.zone)
        standing = book.standing(at=at)
        if args.batch not in standing.batches:
            raise CommandTrouble(f"there is no batch {args.batch} in {book.info.name}")
        if args.json:
            _print_json(batch_hatch_json(standing, args.batch, now, book.info.zone))
        else:
            print(batch_hatch_text(standing, book, args.batch, now))
        return 0
    if not args.species:
        raise CommandTrouble("name a species or a batch: roomhand hatch “Oryzias latipes” --temp 25")
    try:
        told = hatch_json(args.species, None if args.temp is None else celsius(args.temp))
    except ValueError as trouble:
        raise CommandTrouble(str(trouble)) from None
    if args.json:
        _print_json(told)
    else:
        print(hatch_text(told))
    return 0


def _show(args: argparse.Namespace) -> int:
    from bot.figures import show_json, show_text

    book = _book(args)
    at, known = _moment(args.at, book), _moment(args.known_at, book)
    standing = book.standing(at=at, known_at=known)
    now = (at or known or _now(book)).astimezone(book.info.zone)
    told = show_json(standing, args.name, book, now)
    if told is None:
        raise CommandTrouble(f"there is no place or batch “{args.name}” in {book.info.name}")
    if args.json:
        _print_json(told)
    else:
        print(show_text(standing, args.name, book, now))
    return 0


def _stock(args: argparse.Namespace) -> int:
    from bot.figures import stock_json, stock_text

    book = _book(args)
    at, known = _moment(args.at, book), _moment(args.known_at, book)
    standing = book.standing(at=at, known_at=known)
    if args.json:
        _print_json(stock_json(standing, book.info.zone))
    else:
        print(stock_text(standing))
    return 0


# ---- keeping


def _export(args: argparse.Namespace) -> int:
    from storage.export import export

    export(_book(args), args.what, args.format, args.out)
    if args.out:
        print(f"Written to {args.out}.")
    return 0


def _check(args: argparse.Namespace) -> int:
    book = _book(args)
    if args.mend:
        book.rebuild()
    faults = book.check()
    for fault in faults:
        print(fault)
    if not faults:
        print(f"{book.info.name}: all {book.standing().seq} entries add up.")
    return 1 if faults else 0


def _backup(args: argparse.Namespace) -> int:
    from storage.backup import backup

    dest = Path(args.dest)
    if args.dest.endswith(("/", os.sep)) and not dest.is_dir():
        raise CommandTrouble(f"there is no folder {args.dest}; is the disk there? Nothing was copied")
    print(f"Copied to {backup(_database(args, create=False), dest)}; it was opened and checked.")
    return 0


def _restore(args: argparse.Namespace) -> int:
    from storage.backup import restore

    print(restore(args.source, args.db or _kept("ROOMHAND_DB"), force=args.force))
    return 0


def _import(args: argparse.Namespace) -> int:
    from bot.bring import bring_in

    return bring_in(_book(args), args.file, args.map, dry_run=args.dry_run)


def _forget(args: argparse.Namespace) -> int:
    book = _book(args)
    person = next((p for p in book.people(everyone=True) if p.name.casefold() == args.person.casefold()), None)
    if person is None:
        raise CommandTrouble(f"nobody called {args.person} is in {book.info.name}; nothing was changed")
    book.forget(person.key)
    print(
        f"{args.person}'s name, number, words and photos are gone; the ledger is whole. Older backups still hold them."
    )
    return 0


def _remove(args: argparse.Namespace) -> int:
    from bot.members import put_out_said

    book = _book(args)
    found = [p for p in book.people() if args.person.casefold() in (p.name.casefold(), p.key)]
    if not found:
        raise CommandTrouble(f"nobody called {args.person} is in {book.info.name}; nothing was changed")
    if len(found) > 1:
        which = " or ".join(f"{p.key} ({p.role})" for p in found)
        raise CommandTrouble(f"several people are called {args.person}; write {which}. Nothing was changed")
    book.remove(found[0].key)
    print(put_out_said(found[0]))
    return 0


def _calendar(args: argparse.Namespace) -> int:
    from bot.feed import NO_CALENDAR, calendar_feed

    book = _book(args)
    try:
        feed = calendar_feed(book.standing(), book, _now(book))
    except ImportError:
        raise CommandTrouble(NO_CALENDAR) from None
    args.out.write_bytes(feed)
    print(f"Written to {args.out}.")
    return 0


def _labels(args: argparse.Namespace) -> int:
    from bot.labels import NO_DRAWING, label_sheet

    book = _book(args)
    more = {"size": args.size, "skip": args.skip, "bot_name": args.bot or _own_bot()}
    try:
        count = label_sheet(book.standing(), book.info, args.out, **more)
    except ValueError as trouble:
        raise CommandTrouble(str(trouble)) from None
    except ImportError:
        raise CommandTrouble(NO_DRAWING) from None
    print(f"{count} labels written to {args.out}.")
    return 0


def _own_bot() -> str | None:
    """The name of the bot that is set, where Telegram tells it now."""
    from bot.settings import SettingsError, read_settings

    try:
        settings = read_settings()
    except SettingsError as trouble:
        raise CommandTrouble(str(trouble)) from None
    if settings.telegram_token is None:
        return None
    import asyncio

    from bot.opening import bot_name

    return asyncio.run(bot_name(settings.telegram_token.get_secret_value(), str(settings.telegram_api))) or None


def _record(args: argparse.Namespace) -> int:
    from bot.breeding_record import NO_PDF, breeding_record, write_pdf

    book = _book(args)
    at = _moment(args.at, book)
    record = breeding_record(book.standing(at=at), book, args.name, (at or _now(book)).astimezone(book.info.zone))
    if record is None:
        raise CommandTrouble(f"there is no batch or line “{args.name}” in {book.info.name}")
    if args.out is None:
        print(record.text())
        return 0
    try:
        write_pdf(record, book.info.units, args.out)
    except ImportError:
        raise CommandTrouble(NO_PDF) from None
    print(f"Written to {args.out}.")
    return 0


# ---- running


def _invite(args: argparse.Namespace) -> int:
    book = _book(args, make=True)
    code = book.invite(args.role)
    print(f"Send this as the first message (or /start {code}): {code}")
    return 0


def _serve(args: argparse.Namespace) -> int:
    from bot import opening
    from bot.channels.serve import serve
    from bot.quiet import be_quiet
    from bot.settings import Settings, SettingsError, is_there, read_settings, settings_file

    def book(settings: Settings) -> Any:
        args.db, args.room, args.state = args.db or settings.db, args.room or settings.room, settings.state_folder
        return _book(args, make=True)

    file = settings_file()
    try:
        there = opening.at_a_terminal()
        if args.ask and not there:
            raise SettingsError("--ask asks in a terminal, and this is none; nothing was changed")
        # A settings file that is named but not there yet is made, where somebody can be asked.
        settings: Settings | None = read_settings(file=None if is_there(file) or not there else Path(os.devnull))
        if args.ask or not settings or not (settings.telegram_token or settings.sms_gateway):
            if not there:
                raise SettingsError(opening.NO_DOOR.format(file=file))
            be_quiet()
            settings = opening.walk_through(file, os.environ, book)
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
    from bot.doctor import release

    status, told = release(_book(args), args.what, args.key, dt.datetime.now(dt.UTC))
    if status:
        raise CommandTrouble(told)
    print(told)
    return 0


def _doctor(args: argparse.Namespace) -> int:
    from bot.doctor import examine

    return examine(args.db, args.room)


_RUNS: dict[str, Command] = {
    "chat": _chat,
    "try": _try,
    "setup": _setup,
    "say": _say,
    "replay": _replay,
    "read": _read,
    "due": _due,
    "summary": _summary,
    "hatch": _hatch,
    "show": _show,
    "stock": _stock,
    "export": _export,
    "check": _check,
    "backup": _backup,
    "restore": _restore,
    "import": _import,
    "forget": _forget,
    "remove": _remove,
    "calendar": _calendar,
    "labels": _labels,
    "record": _record,
    "invite": _invite,
    "release": _release,
    "serve": _serve,
    "doctor": _doctor,
}


if __name__ == "__main__":
    raise SystemExit(main())
