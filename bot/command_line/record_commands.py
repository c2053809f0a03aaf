"""Commands that ask the record, and those that keep it, print from it and bring things into it."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from bot import sentences as say
from bot.command_line.opened_room import CommandTrouble, book_of, database_of, kept, moment, now_in, print_json
from bot.command_line.usage import Command

# ---- asking


def _due(args: argparse.Namespace) -> int:
    from bot.routine.chore_list import listed
    from bot.routine.chores import due_json, due_list

    book = book_of(args)
    at = moment(args.at, book)
    now = at or now_in(book)
    tasks = due_list(book.standing(at=at), book, now.astimezone(book.info.zone), days=args.days)
    if args.json:
        print_json([due_json(t, now) for t in tasks])
    else:
        print(listed(tasks, now, most=200) if tasks else "Nothing is due.")
    return 0


def _summary(args: argparse.Namespace) -> int:
    from bot.unasked.nightly import nightly, nightly_picture

    book = book_of(args)
    now = (moment(args.at, book) or now_in(book)).astimezone(book.info.zone)
    print(nightly(book, now))
    if args.chart:
        picture = nightly_picture(book, now)
        if picture is None:
            raise CommandTrouble("there is too little on record for a chart; none was written")
        args.chart.write_bytes(picture)
    return 0


def _hatch(args: argparse.Namespace) -> int:
    from bot.command_line.printed import batch_hatch_json, batch_hatch_text, celsius, hatch_json, hatch_text

    if args.batch:
        book = book_of(args)
        at = moment(args.at, book)
        now = (at or now_in(book)).astimezone(book.info.zone)
        standing = book.standing(at=at)
        if args.batch not in standing.batches:
            raise CommandTrouble(f"there is no batch {args.batch} in {book.info.name}")
        if args.json:
            print_json(batch_hatch_json(standing, args.batch, now, book.info.zone))
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
        print_json(told)
    else:
        print(hatch_text(told))
    return 0


def _show(args: argparse.Namespace) -> int:
    from bot.command_line.printed import show_json, show_text

    book = book_of(args)
    at, known = moment(args.at, book), moment(args.known_at, book)
    standing = book.standing(at=at, known_at=known)
    now = (at or known or now_in(book)).astimezone(book.info.zone)
    told = show_json(standing, args.name, book)
    if told is None:
        raise CommandTrouble(f"there is no place, batch or line “{args.name}” in {book.info.name}")
    if args.json:
        print_json(told)
    else:
        print(show_text(standing, args.name, book, now))
    return 0


def _stock(args: argparse.Namespace) -> int:
    from bot.command_line.printed import stock_json, stock_text

    book = book_of(args)
    at, known = moment(args.at, book), moment(args.known_at, book)
    standing = book.standing(at=at, known_at=known)
    if args.json:
        print_json(stock_json(standing, book.info.zone))
    else:
        print(stock_text(standing))
    return 0


# ---- keeping


def _export(args: argparse.Namespace) -> int:
    from storage.export import export

    export(book_of(args), args.what, args.format, args.out)
    if args.out:
        print(f"Written to {args.out}.")
    return 0


def _check(args: argparse.Namespace) -> int:
    book = book_of(args)
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
    print(f"Copied to {backup(database_of(args, create=False), dest)}; it was opened and checked.")
    return 0


def _restore(args: argparse.Namespace) -> int:
    from storage.backup import restore

    print(restore(args.source, args.db or kept("ROOMHAND_DB"), force=args.force))
    return 0


def _import(args: argparse.Namespace) -> int:
    from bot.command_line.bring import bring_in

    return bring_in(book_of(args), args.file, args.map, dry_run=args.dry_run)


def _forget(args: argparse.Namespace) -> int:
    """Somebody who writes here, or else somebody fish were sold or promised to, or came from."""
    book = book_of(args)
    person = next((p for p in book.people(everyone=True) if p.name.casefold() == args.person.casefold()), None)
    done = book.forget(person.key) if person else book.forget_buyer(args.person)
    if person:
        gone = f"{args.person}'s name, number, words and photos are gone"
    elif done.entries:
        gone = f"{args.person}'s name is gone, and the words of the notes about them"
    else:
        raise CommandTrouble(f"nobody called {args.person} is in {book.info.name}; nothing was changed")
    print(f"{gone}; the ledger is whole. Older backups still hold them.")
    if done.still_named:
        print(f"{say.count(done.still_named, 'note')} of others still say the name; those are theirs and stay.")
    return 0


def _remove(args: argparse.Namespace) -> int:
    from bot.talk.members import put_out_said

    book = book_of(args)
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
    from bot.unasked.calendar import NO_CALENDAR, calendar_feed

    book = book_of(args)
    try:
        feed = calendar_feed(book.standing(), book, now_in(book))
    except ImportError:
        raise CommandTrouble(NO_CALENDAR) from None
    args.out.write_bytes(feed)
    print(f"Written to {args.out}.")
    return 0


def _labels(args: argparse.Namespace) -> int:
    from bot.pictures.labels import NO_DRAWING, label_sheet

    book = book_of(args)
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

    from bot.command_line.asked_settings import bot_name

    return asyncio.run(bot_name(settings.telegram_token.get_secret_value(), str(settings.telegram_api))) or None


def _record(args: argparse.Namespace) -> int:
    from bot.pictures.breeding_record import NO_PDF, breeding_record, write_pdf

    book = book_of(args)
    at = moment(args.at, book)
    record = breeding_record(book.standing(at=at), book, args.name, (at or now_in(book)).astimezone(book.info.zone))
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


RUNS: dict[str, Command] = {
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
}
