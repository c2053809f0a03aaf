"""What is called anew is one place before and after, at every moment asked about, and adds up all the while."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from shared.events import Event
from shared.ledger.standing import Entry, Posting, fold
from storage import entries
from storage.engine import Database
from storage.journal import RoomBook
from tests.storage.notes import DAY, FED, HOUR, NOON, account, died, event, hatched, message, pulled, said, taken_back


def _renamed(book: RoomBook, old: str, new: str, hours: float = 0) -> int:
    return said(book, event("rename", old=old, new=new), at=NOON + hours * HOUR)[0].seq


def _undone(book: RoomBook, seq: int, old: str, new: str) -> None:
    with book.turn(message("undo")) as turn:
        turn.retract([seq], event("undo", renamed=[(new, old)]))
        turn.reply("undone", {"outcome": "log"}, "log")


def _alive(book: RoomBook, place: str) -> int:
    return sum(h.count for h in book.standing().at_place(place))


def test_what_was_logged_before_and_after_is_of_one_place(book: RoomBook) -> None:
    said(book, event("new_place", place="tub B"))
    pulled(book, "B1", 40)
    _renamed(book, "tub B", "K1", 1)
    hatched(book, "B1", 30, at=NOON + 2 * HOUR, place="K1")
    assert _alive(book, "K1") == 40 and _alive(book, "tub B") == 0
    assert {e.place for e in book.entries(name="K1") if e.place} == {"K1"} and len(book.entries(name="K1")) == 4
    assert book.entries(name="tub B") == []
    assert [p.source.place for e in book.entries(kinds=("hatch",)) for p in e.postings if p.source] == ["K1"]
    assert {e.place for e, _ in book.ledger() if e.batch == "B1"} == {"K1"}
    assert book.check() == []


def test_before_it_was_called_so_it_is_asked_about_by_the_new_name(book: RoomBook) -> None:
    said(book, event("new_place", place="tub B"))
    pulled(book, "B1", 40)
    _renamed(book, "tub B", "K1", 48)
    died(book, "B1", 0, at=NOON + 3 * HOUR, place="K1")  # told late, of before
    then = book.standing(at=NOON + HOUR)
    assert [h.place for h in then.of_group("B1")] == ["K1"] and "tub B" not in then.places
    known = book.standing(known_at=NOON + HOUR)
    assert [h.place for h in known.of_group("B1")] == ["tub B"]


def test_taken_back_what_was_logged_meanwhile_stays(book: RoomBook, database: Database) -> None:
    said(book, event("new_place", place="tub B"))
    pulled(book, "B1", 40)
    seq = _renamed(book, "tub B", "K1")
    hatched(book, "B1", 30, place="K1")
    _undone(book, seq, "tub B", "K1")
    assert _alive(book, "tub B") == 40 and "K1" not in book.standing().places
    assert book.standing().places["tub B"].aka == []
    assert {e.place for e in book.entries(name="tub B") if e.place} == {"tub B"}
    assert book.check() == []
    fresh = RoomBook(database, book.info)
    assert fresh.standing().model_dump_json() == book.standing().model_dump_json()
    assert book.standing().model_dump_json() == fold(_raw(database, book)).model_dump_json()


def _raw(database: Database, book: RoomBook) -> list[Entry]:
    with database.reading() as connection:
        return list(entries.after(connection, book.info.id, 0))


def test_it_goes_on_over_snapshots_and_is_made_anew_the_same(book: RoomBook) -> None:
    said(book, event("new_place", place="tub B"))
    pulled(book, "B1", 400)
    seq = _renamed(book, "tub B", "K1")
    with book.turn(message("many")) as turn:
        for _ in range(450):
            turn.append(event("feed", places=["K1"], food="flake"), at=NOON, place="K1")
        turn.reply("ok", {}, "log")
    early = died(book, "B1", 0, place="K1")
    taken_back(book, early.seq)
    assert book.check() == []
    _undone(book, seq, "tub B", "K1")
    assert book.check() == []
    before = book.standing().model_dump_json()
    book.rebuild()
    assert book.standing().model_dump_json() == before and book.check() == []
    assert len(book.entries(name="tub B", kinds=("feed",))) == 450


def test_what_is_asked_about_it_is_asked_by_the_new_name(book: RoomBook) -> None:
    with book.turn(message("40 eggs")) as turn:
        turn.ask({"options": [["tub B", [{"kind": "move", "to": "tub B"}]], ["no", []]]})
        turn.reply("which?", {}, "ask")
    _renamed(book, "tub B", "K1")
    with book.turn(message("K1")) as turn:
        found = turn.open_questions()[0].body
        turn.reply("ok", {}, "log")
    assert found["options"][0] == ["K1", [{"kind": "move", "to": "K1"}]]


@settings(max_examples=25)
@given(st.lists(st.sampled_from(["pull", "hatch", "rename", "undo"]), max_size=12))
def test_whatever_the_order_all_fish_are_where_the_tub_is_now(steps: list[str]) -> None:
    """As the ledger folds it: the same notes with and without renamings differ in the name alone."""
    told: list[Entry] = []
    plain: list[Entry] = []
    names, renamings = ["tub B"], []
    for seq, step in enumerate(steps, 1):
        if step == "rename":
            told.append(_entry(seq, event("rename", old=names[-1], new=f"K{seq}")))
            renamings.append((seq, names[-1], f"K{seq}"))
            names.append(f"K{seq}")
        elif step == "undo" and renamings:
            done, old, new = renamings.pop()
            told.append(_entry(seq, event("undo", renamed=[(new, old)]), retracts=(done,)))
            names.append(old)
        elif step != "undo":
            for kept, place in ((told, names[-1]), (plain, "tub B")):
                target = account("B1", place, "eggs" if step == "pull" else "fry")
                posting = Posting(target=target, outside="moved_in", count=7, counts=True)
                kept.append(_entry(seq, FED, batch="B1", line="gardneri", postings=(posting,)))
    stands = {(h.place, h.stage, h.count) for h in fold(told).holdings.values()}
    assert stands == {(names[-1], h.stage, h.count) for h in fold(plain).holdings.values()}


def _entry(seq: int, what: Event, **more: Any) -> Entry:
    at = NOON + seq * DAY
    return Entry(seq=seq, event=what, at=at, said=at, person="p1", message=seq, **more)
