"""A disk that fills up while notes come in: what was acknowledged is there, nothing twice, and room is all it takes.

The disk is a real one, a few megabytes in memory, where the tests may mount such a thing; elsewhere SQLite is held to a
size of the file, which ends in the same error of its own but does not try the operating system.
"""

from __future__ import annotations

import asyncio
import datetime as dt
import multiprocessing
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

from bot.channels.doorstep import NOT_WRITTEN, Doorstep, Words
from bot.command_line.setup import set_up
from bot.hear import hear
from shared.ledger.standing import fold
from shared.room import RoomCard
from storage import backup, engine
from storage.engine import StorageTrouble, open_database
from storage.journal import Message, RoomBook

NOON = dt.datetime(2026, 3, 9, 18, 30, tzinfo=dt.UTC)
MEGABYTES = 3
fork = multiprocessing.get_context("fork")


class Disk:
    """A small disk with a room on it."""

    def __init__(self, folder: Path, real: bool) -> None:
        self.folder, self.real = folder, real
        self.file = folder / "room.db"
        self._ballast = folder / "ballast"

    def fill(self) -> None:
        """Leave not a byte; something else grew."""
        with self._ballast.open("ab", buffering=0) as ballast:
            try:
                while ballast.write(b"x" * 4096):
                    pass
            except OSError:
                pass

    def limit(self, book: RoomBook) -> None:
        """Where no disk could be mounted: let the file grow by a few pages only."""
        if not self.real:
            with book._database.reading() as connection:
                pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
                connection.exec_driver_sql(f"PRAGMA max_page_count={pages + 60}")

    def make_space(self) -> None:
        self._ballast.unlink(missing_ok=True)
        if self.real:
            subprocess.run(["mount", "-o", f"remount,size={MEGABYTES * 4}m", str(self.folder)], check=True)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Disk]:
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={MEGABYTES}m,mode=0700", "tmpfs", str(folder)]
    try:
        real = subprocess.run(command, capture_output=True).returncode == 0
    except OSError:
        real = False
    yield Disk(folder, real)
    if real:
        subprocess.run(["umount", "-l", str(folder)], check=True)


def _note(book: RoomBook, number: int) -> Message:
    text = (
        f"tank {number % 10 + 1} temp {70 + number % 9}\n3 bad eggs tub B\n" + "All looked well in the low rack. " * 20
    )
    person = book.person_named("Rosa")
    return Message("sms", f"SM{number}", "+1", person.key, text, NOON + dt.timedelta(minutes=number))


def _write_until_full(disk: Disk, out: Connection) -> None:
    """Say how each note was answered; once five in a row were refused, wait to be killed."""
    book = open_database(str(disk.file)).room()
    disk.limit(book)
    refused = 0
    for number in range(100_000):
        try:
            out.send((number, hear(book, _note(book, number)).text, True))
            refused = 0
        except StorageTrouble as trouble:
            out.send((number, str(trouble), False))
            refused += 1
        if refused == 5:
            out.send(None)
            signal.pause()


def _until_full(disk: Disk) -> tuple[dict[int, str], dict[int, str]]:
    """What a program that wrote until the disk was full, and was killed then, had answered and refused."""
    ours, theirs = fork.Pipe(duplex=False)
    writer = fork.Process(target=_write_until_full, args=(disk, theirs))
    writer.start()
    theirs.close()
    answered: dict[int, str] = {}
    refused: dict[int, str] = {}
    for number, said, kept in iter(ours.recv, None):
        (answered if kept else refused)[number] = said
    os.kill(writer.pid or 0, signal.SIGKILL)
    writer.join()
    ours.close()
    return answered, refused


def _holds(book: RoomBook, answered: dict[int, str]) -> None:
    """Every note that was answered is there, once and with its answer, and the ledger adds up."""
    kept = [message for message in book.messages() if message.door == "sms"]
    assert {int(m.delivery[2:]): m.reply and m.reply.text for m in kept} == answered
    assert len(kept) == len(answered)
    readings = book.entries(kinds=("measure",))
    assert sorted(e.message for e in readings) == sorted(m.id for m in kept)
    assert book.check() == []
    assert book.standing() == fold(sorted(book.entries(include_retracted=True), key=lambda e: e.seq))


def test_a_disk_that_fills_up_loses_nothing_and_writing_goes_on_once_there_is_room(disk: Disk, card: RoomCard) -> None:
    database = open_database(str(disk.file))
    set_up(database, card, NOON - dt.timedelta(days=30))
    database.close()
    answered, refused = _until_full(disk)
    assert len(answered) > 10 and len(refused) >= 5
    assert all("is full. Nothing was saved. Make some space and say it again." in said for said in refused.values())

    database = open_database(str(disk.file))
    book = database.room()
    _holds(book, answered)
    if disk.real:
        disk.fill()
        with pytest.raises(StorageTrouble, match=r"is full\. Nothing was saved"):
            hear(book, _note(book, min(refused)))
        assert hear(book, _note(book, min(answered))).text == answered[min(answered)], "it was answered before"
        with pytest.raises(StorageTrouble, match=r"is full\. Nothing was saved"):
            backup.backup(database, disk.folder / "copy.db")
        assert not (disk.folder / "copy.db").exists() and not list(disk.folder.glob("*.part"))
        _holds(book, answered)
    disk.make_space()
    for number in (*answered, *refused):  # a gateway that is not sure sends all of it again
        said = hear(book, _note(book, number)).text
        assert answered.setdefault(number, said) == said
    _holds(book, answered)
    database.close()


async def test_a_door_waits_until_there_is_room_and_answers_then(disk: Disk, card: RoomCard) -> None:
    database = open_database(str(disk.file))
    book = set_up(database, card, NOON)[0]
    book.admit(book.invite("owner", dt.timedelta(days=1), at=NOON), "sms", "+1", "Rosa", NOON)
    disk.limit(book)
    doorstep = Doorstep(book, hear)

    def words(number: int) -> Words:
        return Words("sms", "+1", "Rosa", "+1", f"SM{number}", _note(book, number).text, NOON)

    for number in range(1000):
        said = getattr(await doorstep.hear(words(number), patience=0), "text", "")
        if said == NOT_WRITTEN:
            break
    assert 10 < number < 999
    waiting = asyncio.create_task(doorstep.hear(words(number)))
    await asyncio.sleep(0.1)
    assert not waiting.done()
    disk.make_space()
    if not disk.real:
        with database.reading() as connection:
            connection.exec_driver_sql("PRAGMA max_page_count=1000000")
    assert "°F" in getattr(await waiting, "text", "")
    doorstep.close()
    assert len([m for m in book.messages() if m.delivery == f"SM{number}"]) == 1 and book.check() == []
    database.close()


HOLDING = """
import sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.read()
"""


def test_a_room_another_program_holds_is_told_loses_nothing_and_writing_goes_on(
    tmp_path: Path, card: RoomCard, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine, "PATIENCE_SECONDS", 0.1)
    file = tmp_path / "room.db"
    database = open_database(str(file))
    book = set_up(database, card, NOON - dt.timedelta(days=30))[0]
    answered = {number: hear(book, _note(book, number)).text for number in range(5)}
    other = subprocess.Popen(
        [sys.executable, "-c", HOLDING, str(file)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert other.stdout and other.stdout.readline() == "held\n"
    for number in range(5, 8):
        with pytest.raises(StorageTrouble, match=r"Another program is writing .*Nothing was saved\. Try again"):
            hear(book, _note(book, number))
    _holds(book, answered)  # reading goes on meanwhile
    other.kill()
    other.communicate()
    for number in range(8):
        said = hear(book, _note(book, number)).text
        assert answered.setdefault(number, said) == said
    _holds(book, answered)
    database.close()
