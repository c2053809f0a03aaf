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
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

Command = Callable[[argparse.Namespace], int]


class CommandTrouble(Exception):
    """Something a command cannot do, in a sentence."""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="roomhand",
        description="A hand in the fish room: takes one-line notes, says what is due, answers questions.",
    )
    parser.add_argument(
        "--db", metavar="URL", help="SQLAlchemy URL or file (default ROOMHAND_DB, else your data folder)"
    )
    parser.add_argument("--room", metavar="NAME", help="which room, where the database holds several")
    words = parser.add_subparsers(dest="word", metavar="COMMAND", required=True)

    def add(name: str, run: Command, help_: str) -> argparse.ArgumentParser:
        sub = words.add_parser(name, help=help_, description=help_)
        sub.add_argument("--db", metavar="URL", default=argparse.SUPPRESS, help=argparse.SUPPRESS)
        sub.add_argument("--room", metavar="NAME", default=argparse.SUPPRESS, help=argparse.SUPPRESS)
        sub.set_defaults(run=run)
        return sub

    def at(sub: argparse.ArgumentParser, *, known: bool = False) -> None:
        sub.add_argument("--at", metavar="TIME", help="as of then, like 2026-03-09T18:30 (room's time)")
        if known:
            sub.add_argument("--known-at", metavar="TIME", help="by what had been said until then")

    chat = add("chat", _chat, "chat in the terminal; with piped input each line is one message")
    chat.add_argument("--as", dest="name", metavar="NAME", help="who is speaking")
    add("try", _try, "the same in a throw-away demo room with some weeks of history")
    setup = add("setup", _setup, "make or extend a room from a card")
    setup.add_argument("card", type=Path, metavar="ROOM.json")
    said = add("say", _say, "one message, one reply")
    said.add_argument("text")
    said.add_argument("--as", dest="name", metavar="NAME", help="who is speaking")
    said.add_argument("--delivery", metavar="ID", help="the same id twice logs once and answers alike")
    said.add_argument("--json", action="store_true")
    at(said)
    replay = add("replay", _replay, "many dated messages: an old notebook typed up")
    replay.add_argument("file", type=Path)
    read = add("read", _read, "readings only, JSON lines in and out; nothing is stored")
    read.add_argument("--room-card", type=Path, required=True, metavar="ROOM.json")
    read.add_argument("--words", action="store_true", help="one note on standard input: how it was read, word by word")
    due = add("due", _due, "what is due")
    due.add_argument("--days", type=int, default=1)
    due.add_argument("--json", action="store_true")
    at(due)
    summary = add("summary", _summary, "the nightly summary as it would be sent")
    summary.add_argument("--chart", type=Path, metavar="FILE.png")
    at(summary)
    hatch = add("hatch", _hatch, "a hatch estimate for a species and temperature, or for a batch")
    hatch.add_argument("species", nargs="?")
    hatch.add_argument("--temp", type=float, metavar="C", help="water temperature, °C")
    hatch.add_argument("--batch", metavar="NAME")
    hatch.add_argument("--json", action="store_true")
    at(hatch)
    show = add("show", _show, "how a place or batch stands")
    show.add_argument("name", metavar="PLACE-OR-BATCH")
    show.add_argument("--json", action="store_true")
    at(show, known=True)
    stock = add("stock", _stock, "what is alive, by line, stage, place and batch")
    stock.add_argument("--json", action="store_true")
    at(stock, known=True)
    export = add("export", _export, "take the record away: messages, events, batches, places, stock or sales")
    export.add_argument("what", choices=("messages", "events", "batches", "places", "stock", "sales"))
    export.add_argument("--format", choices=("csv", "jsonl", "xlsx"), default="csv")
    export.add_argument("--out", type=Path)
    check = add("check", _check, "re-add the whole ledger and compare it with what is stored")
    check.add_argument("--mend", action="store_true", help="make anew what is made from the entries")
    backup = add("backup", _backup, "a consistent copy while running")
    backup.add_argument("dest", type=Path)
    restore = add("restore", _restore, "put a backup back; never over newer data without --force")
    restore.add_argument("source", type=Path)
    restore.add_argument("--force", action="store_true")
    bring = add("import", _import, "counts, readings or sales from a table")
    bring.add_argument("file", type=Path, metavar="FILE.csv")
    bring.add_argument("--map", nargs="+", metavar="FIELD=COLUMN", default=[])
    bring.add_argument("--dry-run", action="store_true")
    forget = add("forget", _forget, "take a person's name, number, words and photos out; the ledger stays whole")
    forget.add_argument("person")
    remove = add("remove", _remove, "put somebody out; what they logged stays")
    remove.add_argument("person")
    calendar = add("calendar", _calendar, "dated work as a calendar")
    calendar.add_argument("--out", type=Path, required=True, metavar="FILE.ics")
    labels = add("labels", _labels, "tank and tub labels")
    labels.add_argument("--out", type=Path, required=True, metavar="FILE.pdf")
    labels.add_argument("--size", default=None)
    invite = add("invite", _invite, "print a one-time code; the person sends it as their first message")
    invite.add_argument("--role", choices=("owner", "helper", "viewer"), default="helper")
    release = add("release", _release, "let what may not have been sent unasked be sent again; without a name: list it")
    release.add_argument("what", nargs="?")
    release.add_argument("key", nargs="?")
    add("serve", _serve, "run the doors that are configured and the nightly summary")
    add("doctor", _doctor, "check configuration, database, time zone and token, and say what to mend")
    return parser


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; the exit status."""
    from bot.setup import CardTrouble
    from storage.trouble import StorageTrouble

    args = _parser().parse_args(argv)
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

    state = getattr(args, "state", None) or os.environ.get("ROOMHAND_STATE")
    photos = Path(state) / "pictures" if state else None
    _OPENED.append(open_database(args.db or os.environ.get("ROOMHAND_DB"), create=create, pictures=photos))
    return _OPENED[-1]


def _book(args: argparse.Namespace, *, make: bool = False) -> Any:
    """The room meant. With `make`, an empty one where there is none yet."""
    from shared.room import RoomCard

    database = _database(args)
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
    from bot.figures import batch_hatch_json, batch_hatch_text, hatch_json, hatch_text

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
        told = hatch_json(args.species, args.temp)
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

    print(f"Copied to {backup(_database(args, create=False), args.dest)}; it was opened and checked.")
    return 0


def _restore(args: argparse.Namespace) -> int:
    from storage.backup import restore

    print(restore(args.source, args.db or os.environ.get("ROOMHAND_DB"), force=args.force))
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
    more = {"size": args.size} if args.size else {}
    try:
        count = label_sheet(book.standing(), book.info, args.out, **more)
    except ValueError as trouble:
        raise CommandTrouble(str(trouble)) from None
    except ImportError:
        raise CommandTrouble(NO_DRAWING) from None
    print(f"{count} labels written to {args.out}.")
    return 0


# ---- running


def _invite(args: argparse.Namespace) -> int:
    book = _book(args, make=True)
    code = book.invite(args.role)
    print(f"Send this as the first message (or /start {code}): {code}")
    return 0


def _serve(args: argparse.Namespace) -> int:
    from bot.channels.serve import serve
    from bot.quiet import be_quiet
    from bot.settings import SettingsError, read_settings

    try:
        settings = read_settings()
    except SettingsError as trouble:
        raise CommandTrouble(str(trouble)) from None
    if not settings.telegram_token and not settings.sms_gateway:
        raise CommandTrouble(
            "no door is configured. Set ROOMHAND_TELEGRAM_TOKEN to the token BotFather gave you, then run this again; "
            "`roomhand doctor` lists all settings"
        )
    args.db, args.room, args.state = args.db or settings.db, args.room or settings.room, settings.state_folder
    be_quiet(settings.secrets)
    return serve(_book(args, make=True), settings)


def _release(args: argparse.Namespace) -> int:
    from bot.doctor import release

    status, told = release(_book(args), args.what, args.key, dt.datetime.now(dt.UTC))
    if status:
        raise CommandTrouble(told)
    print(told)
    return 0


def _doctor(args: argparse.Namespace) -> int:
    from bot.doctor import examine

    return examine(args.db or os.environ.get("ROOMHAND_DB"), args.room)


if __name__ == "__main__":
    raise SystemExit(main())
