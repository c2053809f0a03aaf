"""The words of the command line, what each takes, and the line of help that says what it does."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from pathlib import Path

Command = Callable[[argparse.Namespace], int]


class _Words:
    """The words that can be typed; `runs` has what each does."""

    def __init__(self, whole: argparse.ArgumentParser, runs: Mapping[str, Command]) -> None:
        self._added = whole.add_subparsers(dest="word", metavar="COMMAND", required=True)
        self._runs = runs

    def add(self, name: str, help_: str) -> argparse.ArgumentParser:
        sub = self._added.add_parser(name, help=help_, description=help_)
        sub.add_argument("--db", metavar="URL", default=argparse.SUPPRESS, help=argparse.SUPPRESS)
        sub.add_argument("--room", metavar="NAME", default=argparse.SUPPRESS, help=argparse.SUPPRESS)
        sub.set_defaults(run=self._runs[name])
        return sub


def parser(runs: Mapping[str, Command]) -> argparse.ArgumentParser:
    """What can be typed after `roomhand`; `runs` has what each word does."""
    whole = argparse.ArgumentParser(
        prog="roomhand",
        description="A hand in the fish room: takes one-line notes, says what is due, answers questions.",
    )
    whole.add_argument(
        "--db", metavar="URL", help="SQLAlchemy URL or file (default ROOMHAND_DB, else your data folder)"
    )
    whole.add_argument("--room", metavar="NAME", help="which room, where the database holds several")
    words = _Words(whole, runs)
    for group in (_talking, _answers, _keeping, _on_paper, _running):
        group(words)
    return whole


def _at(sub: argparse.ArgumentParser, *, known: bool = False) -> None:
    sub.add_argument("--at", metavar="TIME", help="as of then, like 2026-03-09T18:30 (room's time)")
    if known:
        sub.add_argument("--known-at", metavar="TIME", help="by what had been said until then")


def _talking(words: _Words) -> None:
    """Saying something to a room, and making one."""
    chat = words.add("chat", "chat in the terminal; with piped input each line is one message")
    chat.add_argument("--as", dest="name", metavar="NAME", help="who is speaking")
    words.add("try", "the same in a throw-away demo room with some weeks of history")
    setup = words.add("setup", "make or extend a room from a card")
    setup.add_argument("card", type=Path, metavar="ROOM.json")
    said = words.add("say", "one message, one reply")
    said.add_argument("text")
    said.add_argument("--as", dest="name", metavar="NAME", help="who is speaking")
    said.add_argument("--delivery", metavar="ID", help="the same id twice logs once and answers alike")
    said.add_argument("--json", action="store_true")
    _at(said)
    replay = words.add("replay", "many dated messages: an old notebook typed up")
    replay.add_argument("file", type=Path)
    read = words.add("read", "readings only, JSON lines in and out; nothing is stored")
    read.add_argument("--room-card", type=Path, required=True, metavar="ROOM.json")
    read.add_argument("--words", action="store_true", help="one note on standard input: how it was read, word by word")


def _answers(words: _Words) -> None:
    """What is known, asked."""
    due = words.add("due", "what is due")
    due.add_argument("--days", type=int, default=1)
    due.add_argument("--json", action="store_true")
    _at(due)
    summary = words.add("summary", "the nightly summary as it would be sent")
    summary.add_argument("--chart", type=Path, metavar="FILE.png")
    _at(summary)
    hatch = words.add("hatch", "a hatch estimate for a species and temperature, or for a batch")
    hatch.add_argument("species", nargs="?")
    hatch.add_argument("--temp", metavar="C", help="water temperature: 24.5 or 24.5C in °C, 76F in °F")
    hatch.add_argument("--batch", metavar="NAME")
    hatch.add_argument("--json", action="store_true")
    _at(hatch)
    show = words.add("show", "how a place, batch or line stands")
    show.add_argument("name", metavar="PLACE-OR-BATCH")
    show.add_argument("--json", action="store_true")
    _at(show, known=True)
    stock = words.add("stock", "what is alive, by line, stage, place and batch")
    stock.add_argument("--json", action="store_true")
    _at(stock, known=True)


def _keeping(words: _Words) -> None:
    """The record taken away, looked over, copied and brought back."""
    export = words.add("export", "take the record away: messages, events, batches, places, stock or sales")
    export.add_argument("what", choices=("messages", "events", "batches", "places", "stock", "sales"))
    export.add_argument("--format", choices=("csv", "jsonl", "xlsx"), default="csv")
    export.add_argument("--out", type=Path)
    check = words.add("check", "re-add the whole ledger and compare it with what is stored")
    check.add_argument("--mend", action="store_true", help="make anew what is made from the entries")
    backup = words.add("backup", "a consistent copy while running")
    backup.add_argument("dest")
    restore = words.add("restore", "put a backup back; never over newer data without --force")
    restore.add_argument("source", type=Path)
    restore.add_argument("--force", action="store_true")
    bring = words.add("import", "counts, readings or sales from a table")
    bring.add_argument("file", type=Path, metavar="FILE.csv")
    bring.add_argument("--map", nargs="+", metavar="FIELD=COLUMN", default=[])
    bring.add_argument("--dry-run", action="store_true")
    forget = words.add("forget", "take a person's or a buyer's name and words out; the ledger stays whole")
    forget.add_argument("person")
    remove = words.add("remove", "put somebody out; what they logged stays")
    remove.add_argument("person")


def _on_paper(words: _Words) -> None:
    """What is printed or handed on."""
    calendar = words.add("calendar", "dated work as a calendar")
    calendar.add_argument("--out", type=Path, required=True, metavar="FILE.ics")
    labels = words.add("labels", "tank and tub labels")
    labels.add_argument("--out", type=Path, required=True, metavar="FILE.pdf")
    labels.add_argument("--size", default=None)
    labels.add_argument("--bot", default=None, metavar="NAME", help="the Telegram bot whose chat the codes open")
    labels.add_argument("--skip", type=int, default=0, metavar="N", help="labels of a begun sheet left free")
    record = words.add("record", "a breeding record of a batch or line for another breeder: text, or a PDF with --out")
    record.add_argument("name", metavar="BATCH-OR-LINE")
    record.add_argument("--out", type=Path, metavar="FILE.pdf")
    _at(record)


def _running(words: _Words) -> None:
    """Who may come in, and what runs day and night."""
    invite = words.add("invite", "print a one-time code; the person sends it as their first message")
    invite.add_argument("--role", choices=("owner", "helper", "viewer"), default="helper")
    release = words.add("release", "let what may not have been sent unasked be sent again; without a name: list it")
    release.add_argument("what", nargs="?")
    release.add_argument("key", nargs="?")
    serve = words.add("serve", "run the doors that are configured and the nightly summary")
    serve.add_argument("--ask", action="store_true", help="ask for the settings again first, in the terminal")
    words.add("doctor", "check configuration, database, time zone and token, and say what to mend")
