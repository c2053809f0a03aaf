"""Programs that die at any moment, and several at once: what was acknowledged is there, and nothing twice."""

from __future__ import annotations

import datetime as dt
import multiprocessing
import os
import random
import signal
import threading
import time
from multiprocessing.connection import Connection
from multiprocessing.synchronize import Barrier

from shared.ledger.standing import Posting, fold
from shared.room import RoomCard
from storage.engine import open_database
from storage.journal import Message, RoomBook
from tests.storage.notes import FED, NOON, account, event

KILLS = int(os.environ.get("ROOMHAND_KILLS", "20"))
fork = multiprocessing.get_context("fork")  # children start within milliseconds


def _handle(book: RoomBook, number: int) -> str:
    """What is done with delivery `number`: three entries that belong together, sometimes one taken back."""
    note = Message("sms", f"SM{number}", "+1", "p1", f"note {number}", NOON + dt.timedelta(minutes=number))
    with book.turn(note) as turn:
        if turn.earlier:
            return turn.earlier.text
        posting = Posting(target=account("B1", "tub B"), outside="pulled", count=number, counts=True)
        pull = turn.append(event("pull", count=number), at=note.sent, batch="B1", line="gardneri", postings=[posting])
        turn.append(FED, at=note.sent)
        turn.append(event("remark", text=f"note {number}"), at=note.sent)
        if number % 5 == 0:
            turn.retract([pull.seq], event("undo"))
        reply = f"{number} by {os.getpid()} {threading.get_ident()}"
        turn.reply(reply, {"number": number}, "log")
    return reply


def _write_until_killed(url: str, first: int, out: Connection) -> None:
    book = open_database(url).room()
    for number in range(first, first + 10_000):
        out.send((number, _handle(book, number)))


def test_what_was_acknowledged_survives_being_killed_at_any_moment(url: str) -> None:
    database = open_database(url)
    database.create_room(RoomCard())
    database.close()
    chance = random.Random(20260309)
    acknowledged: dict[int, str] = {}
    for _ in range(KILLS):
        ours, theirs = fork.Pipe(duplex=False)
        # Like a gateway that was not answered, the next one begins with the delivery nobody acknowledged.
        writer = fork.Process(target=_write_until_killed, args=(url, len(acknowledged), theirs))
        writer.start()
        theirs.close()
        acknowledged.update([ours.recv()])
        time.sleep(chance.uniform(0, 0.06))
        os.kill(writer.pid or 0, signal.SIGKILL)
        writer.join()
        try:
            while True:
                acknowledged.update([ours.recv()])
        except EOFError:
            ours.close()
    database = open_database(url)
    book = database.room()
    kept = {int(m.delivery[2:]): m for m in book.messages()}
    assert len(acknowledged) > KILLS
    assert set(acknowledged) <= set(kept) and len(kept) - len(acknowledged) in (0, 1)
    for number, reply in acknowledged.items():
        assert kept[number].text == f"note {number}"
        answer = kept[number].reply
        assert answer and answer.text == reply and answer.payload == {"number": number}
    entries = book.entries(include_retracted=True)
    for number, message in kept.items():
        kinds = [e.event.kind for e in entries if e.message == message.id]
        assert sorted(kinds) == sorted(["pull", "feed", "remark", *(["undo"] if number % 5 == 0 else [])])
    assert book.check() == []
    assert book.standing() == fold(sorted(entries, key=lambda e: e.seq))
    assert book.standing().batches["B1"].eggs.pulled == sum(n for n in kept if n % 5)
    database.close()


def _handle_all(url: str, barrier: Barrier, count: int, out: Connection) -> None:
    book = open_database(url).room()
    replies = []
    for number in range(count):
        barrier.wait(20)
        replies.append(_handle(book, number))
    out.send(replies)


def test_programs_given_the_same_delivery_at_the_same_instant_log_it_once_and_answer_alike(url: str) -> None:
    database = open_database(url)
    database.create_room(RoomCard())
    database.close()
    programs, deliveries = 3, 12
    barrier = fork.Barrier(programs)
    pipes, running = [], []
    for _ in range(programs):
        ours, theirs = fork.Pipe(duplex=False)
        running.append(fork.Process(target=_handle_all, args=(url, barrier, deliveries, theirs)))
        pipes.append(ours)
        running[-1].start()
        theirs.close()
    answers = [pipe.recv() for pipe in pipes]
    for program, pipe in zip(running, pipes, strict=True):
        program.join()
        pipe.close()
    assert answers[0] == answers[1] == answers[2]
    assert len(answers[0]) == deliveries
    database = open_database(url)
    book = database.room()
    assert len(book.messages()) == deliveries
    assert len(book.entries(kinds={"feed"})) == deliveries
    assert book.check() == []
    database.close()


def test_threads_of_one_program_log_each_delivery_once(book: RoomBook) -> None:
    answers: list[list[str]] = []

    def work() -> None:
        answers.append([_handle(book, number) for number in range(10)])

    workers = [threading.Thread(target=work) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert len(answers) == 4 and all(answer == answers[0] for answer in answers)
    assert len(book.messages()) == 10 and book.check() == []
    assert book.standing() == fold(sorted(book.entries(include_retracted=True), key=lambda e: e.seq))
