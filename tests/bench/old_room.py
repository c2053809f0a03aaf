"""A room of 200 tanks and 300 open batches with as many entries as wanted behind it, spread over ten years.

The entries are added up by the ledger's own code; only the rows are put in in bulk, as a turn would write them. In a
large room most of the long past is one round of feeding, water and readings over and over, copied by the database; what
a standing holds of it is added up from the last rounds (`roomhand check` adds up all of them).
"""

from __future__ import annotations

import datetime as dt
import random
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shared.events import Event, event_from
from shared.ledger.archive import LOOKED_OVER_EVERY
from shared.ledger.standing import FOLDING, Account, Entry, Outside, Posting, Standing
from shared.room import RoomCard
from storage import entries, snapshots
from storage.engine import open_database
from storage.snapshots import Sum

NOW = dt.datetime(2036, 3, 9, 18, 30, tzinfo=dt.UTC)
YEARS = dt.timedelta(days=3650)
TANKS, TUBS, OPEN = 200, 150, 300
RUN = dt.timedelta(days=90)  # from a batch's eggs to its last fish sold
LATELY = dt.timedelta(days=150)  # in which either room was as busy with batches: those open, those not long closed
STEPS = (0.0, 3.0, 7.0, 13.0, 40.0, 90.0)  # a batch's days: pulled, picked, picked, hatched, moved on, sold
A_NOTE = 3  # entries to a message
PLAIN = ("feed", "water_change", "measure", "service", "dose")
MADE_SINGLY = 50_000  # of the feeding and the like of long ago; what is more is the same round again and again
ROUND = 4_000  # entries of such a round, which says nothing of where eggs are looked at
REMEMBERED = 25  # rounds of which a standing holds something: of no reading or chore are more than 20 times kept
SPECIES = (
    "Fundulopanchax gardneri",
    "Aphyosemion australe",
    "Melanotaenia boesemani",
    "Oryzias latipes",
    "Corydoras aeneus",
)
QUANTITIES = ("temperature",) * 6 + ("ph", "nitrate", "nitrite", "gh")
TEXT = "fed 3 flake, temp in the low rack 24.5, looked over the tubs"
REPLY = "tank 3: fed flake. tank 3: 24.5 °C. tub 7: water changed, nothing seen."
PAYLOAD = '{"outcome":"log","events":[{"kind":"feed","places":["tank 3"],"food":"flake"}],"options":[],"cautions":[]}'

_Made = tuple[Event, dict[str, object]]


def tank(number: int) -> str:
    return f"tank {number % TANKS + 1}"


def tub(number: int) -> str:
    return f"tub {number % TUBS + 1}"


def line(number: int) -> str:
    return f"line {number % 20 + 1}"


def set_up() -> Iterator[_Made]:
    """The room as it began: lines, tanks with their adults, egg tubs."""
    for number in range(20):
        raw = {"kind": "new_line", "line": line(number), "species": SPECIES[number % len(SPECIES)], "eggs": "water"}
        yield event_from(raw), {"line": line(number)}
    for number in range(TANKS):
        name, of = tank(number), line(number)
        yield event_from({"kind": "new_place", "place": name, "litres": 40, "role": "breeding", "line": of}), {}
        came = event_from({"kind": "stock_in", "place": name, "line": of, "male": 2, "female": 3, "stage": "adults"})
        there = Account(group=of, place=name, stage="adults")
        posted = Posting(target=there, outside="start", count=5, male=2, female=3, counts=True)
        yield came, {"place": name, "line": of, "postings": (posted,)}
    for number in range(12):
        said = {"kind": "setting", "what": "water_every_days", "value": 7, "place": tank(number)}
        yield event_from(said), {}
    for number in range(TUBS):
        yield event_from({"kind": "new_place", "place": tub(number), "vessel": "tub", "litres": 2, "role": "eggs"}), {}


def step_of(number: int, step: int, at: dt.datetime) -> _Made:
    """One of the six things that happen to a batch."""
    name, place, of, source = f"B{number + 1}", tub(number), line(number), tank(number)
    eggs, fry = Account(group=name, place=place, stage="eggs"), Account(group=name, place=place, stage="fry")
    grown = Account(group=name, place=tank(number * 7), stage="juveniles")
    about: dict[str, object] = {"batch": name, "place": place, "line": of}

    def posted(
        *, count: int | None = None, whole: bool = False, outside: Outside | None = None, **ends: Account
    ) -> None:
        made = Posting(count=count, whole=whole, outside=outside, counts=outside == "pulled", **ends)
        about["postings"] = (made,)

    match step:
        case 0:
            posted(target=eggs, outside="pulled", count=40)
            about |= {"laid_from": at - dt.timedelta(days=2), "laid_to": at}
            return event_from({"kind": "pull", "place": source, "count": 40, "to": place}), about
        case 1 | 2:
            posted(source=eggs, outside="bad", count=3)
            return event_from({"kind": "bad_eggs", "place": place, "batch": name, "count": 3}), about
        case 3:
            posted(source=eggs, target=fry, whole=True)
            return event_from({"kind": "hatch", "place": place, "batch": name, "count": 34}), about
        case 4:
            posted(source=fry, target=grown, whole=True)
            return event_from({"kind": "move", "from": place, "to": grown.place, "batch": name}), about
        case _:
            posted(source=grown, outside="sold", whole=True)
            sold = event_from({"kind": "sale", "batch": name, "count": 34, "buyer": f"club {number % 400}"})
            return sold, about | {"place": grown.place}


class Tending:
    """What fills the days: feeding, water, readings, gear, remarks, reminders, promises, settings, chores done."""

    def __init__(self) -> None:
        self._dice = random.Random(7)
        self._known: dict[tuple[object, ...], Event] = {}
        self._count = 0
        self._remembered: list[str] = []
        self._promised: list[tuple[str, str]] = []
        self.batch = 1  # the newest there is

    def _event(self, **raw: object) -> Event:
        key = tuple((k, tuple(v) if isinstance(v, list) else v) for k, v in raw.items())
        if key not in self._known:
            if len(self._known) > 20_000:
                self._known.clear()
            self._known[key] = event_from(raw)
        return self._known[key]

    def next(self, now: dt.datetime) -> _Made:
        """One more; a reminder is answered and a promise released once twenty newer ones stand."""
        self._count += 1
        soon = (now + dt.timedelta(days=3)).date().isoformat()
        n, dice = self._count, self._dice
        place = tank(dice.randrange(TANKS)) if dice.random() < 0.6 else tub(dice.randrange(TUBS))
        chance = dice.random() * 1000
        at: dict[str, object] = {"place": place}
        if chance < 560:
            food = ("flake", "brine shrimp", "powder", "micro worms")[dice.randrange(4)]
            return self._event(kind="feed", places=[place], food=food), at
        if chance < 780:
            return self._event(kind="water_change", places=[place]), at
        if chance < 960:
            quantity = QUANTITIES[dice.randrange(10)] if place.startswith("tank") else "temperature"
            value = 22 + dice.randrange(8) / 2
            return self._event(kind="measure", place=place, quantity=quantity, value=value), at
        if chance < 970:
            return self._event(kind="service", places=[place], item="sponge filter"), at
        if chance < 980:
            return self._event(kind="dose", place=place, substance="methylene blue", amount=2, unit="drop"), at
        if chance < 988:
            return self._event(kind="remark", place=place, text="the male colours up well"), at
        if chance < 993:
            batch = f"B{self.batch}"
            return event_from({"kind": "done", "task": "thin out", "batch": batch}), {"batch": batch}
        if chance < 995.5:
            if len(self._remembered) > 20:
                return event_from({"kind": "done", "task": self._remembered.pop(0)}), {}
            self._remembered.append(f"parcel{n}")
            return event_from({"kind": "remind", "text": self._remembered[-1], "date": soon}), {}
        if chance < 998:
            if len(self._promised) > 20:
                buyer, of = self._promised.pop(0)
                return event_from({"kind": "release", "buyer": buyer, "line": of}), {}
            self._promised.append((f"keeper {n}", line(n)))
            return event_from(
                {"kind": "reserve", "buyer": f"keeper {n}", "count": 4, "line": line(n), "date": soon}
            ), {}
        if chance < 999.9:
            return event_from({"kind": "snooze", "task": "water change", "place": place, "date": soon}), at
        said = {"kind": "setting", "what": "water_every_days", "value": 5 + n % 4, "place": tank(n % 12)}
        return event_from(said), {}


def a_round() -> list[_Made]:
    """What is done and written down in some days, but for the tubs, which are only fed."""
    tending, made = Tending(), list[_Made]()
    while len(made) < ROUND:
        event, about = tending.next(NOW)
        if event.kind in PLAIN and (event.kind == "feed" or str(about["place"]).startswith("tank")):
            made.append((event, about))
    return made


def history(count: int) -> Iterator[tuple[dt.datetime, _Made | None]]:
    """All `count` entries in the order they happened; None stands for a whole round."""
    begun = NOW - YEARS
    made = list(set_up())
    for number, one in enumerate(made):
        yield begun + dt.timedelta(seconds=number), one
    left = count - len(made)
    new = int(OPEN * (LATELY / RUN))
    old = int(min((YEARS - LATELY) / RUN * OPEN, max(0, left - 5 * new) / 12))  # batches come and gone
    births = [begun + dt.timedelta(days=1) + (YEARS - LATELY) * (n / max(1, old)) for n in range(old)]
    births += [NOW - LATELY + LATELY * (n / new) for n in range(new)]
    due = sorted(
        (birth + dt.timedelta(days=days), number, step)
        for number, birth in enumerate(births)
        for step, days in enumerate(STEPS)
        if birth + dt.timedelta(days=days) < NOW
    )
    tending, chores = Tending(), left - len(due)
    if chores < 0:
        raise ValueError(f"{count} entries are too few for such a room")
    lately = max(min(chores // 2, 1000), int(chores * (LATELY / YEARS)))
    before, done = chores - lately, 0
    rounds = max(0, before - MADE_SINGLY) // ROUND
    before, chores = before - rounds * ROUND, chores - rounds * ROUND
    due += [(begun + dt.timedelta(days=1) + (YEARS - LATELY) * (n / rounds), -2, n) for n in range(rounds)]
    due.sort()
    for at, number, step in [*due, (NOW, -1, -1)]:
        gone = (at - begun) / (YEARS - LATELY)
        upto = int(before * gone) if gone < 1 else before + int(lately * ((at - NOW + LATELY) / LATELY))
        for n in range(done, upto):
            old = n < before
            share = n / before if old else (n - before) / lately
            when = begun + (YEARS - LATELY) * share if old else NOW - LATELY + LATELY * share
            yield when, tending.next(when)
        done = max(done, upto)
        if number == -2:
            yield at, None
        elif number >= 0:
            tending.batch = number + 1
            yield at, step_of(number, step, at)


class Rows:
    """What is to be put in, table by table."""

    def __init__(self, raw: sqlite3.Connection) -> None:
        self._raw = raw
        self.of: dict[str, list[tuple[object, ...]]] = {
            name: [] for name in ("messages", "message_words", "entries", "entry_words", "mentions")
        }

    def write(self) -> None:
        for table, rows in self.of.items():
            if rows:
                self._raw.executemany(f"INSERT INTO {table} VALUES ({','.join('?' * len(rows[0]))})", rows)
                rows.clear()


class Again:
    """A round kept in tables of its own, from which it is put in as often as wanted."""

    def __init__(self, raw: sqlite3.Connection, room: int, person: str) -> None:
        self._raw, self._room, self._person = raw, room, person
        self._made = a_round()
        self.notes = ROUND // A_NOTE
        for table in ("again (n INTEGER PRIMARY KEY, kind, body)", "again_names (n, name)", "again_notes (n)"):
            raw.execute(f"CREATE TEMP TABLE {table}")
        for n in range(ROUND):
            entry = self._entry(n, n + 1, NOW, 1)
            row, _ = entries.row_of(room, entry, late=False)
            raw.execute("INSERT INTO again VALUES (?, ?, ?)", (n, row["kind"], row["body"]))
            raw.executemany("INSERT INTO again_names VALUES (?, ?)", [(n, name) for name in entry.names])
        raw.executemany("INSERT INTO again_notes VALUES (?)", [(n,) for n in range(1, self.notes + 1)])

    def _entry(self, n: int, seq: int, at: dt.datetime, message: int) -> Entry:
        event, about = self._made[n]
        told = {"seq": seq, "event": event, "at": at, "said": at, "person": self._person, "message": message}
        return Entry.model_construct(**told, **about)  # type: ignore[arg-type]

    def add(self, total: Sum, seq: int, message: int, at: dt.datetime, *, remembered: bool) -> dt.datetime:
        """Put the round in after entry `seq`, two seconds to an entry; when it ends."""
        when = "strftime('%Y-%m-%d %H:%M:%S.000000', :at, '+' || (2 * n) || ' seconds')"
        note = f":message + min(n / {A_NOTE} + 1, {self.notes})"
        given = {"at": _stored(at), "room": self._room, "seq": seq + 1, "message": message, "person": self._person}
        given |= {"text": TEXT, "reply": REPLY, "payload": PAYLOAD}
        for statement in (
            "INSERT INTO messages SELECT n + :message, :room, 'telegram', 'd' || (n + :message), 'kitchen', :person, "
            f"{when} FROM again_notes",
            "INSERT INTO message_words SELECT n + :message, :text, 'log', :reply, :payload FROM again_notes",
            f"INSERT INTO entries SELECT :room, n + :seq, kind, {when}, {when}, :person, {note}, 0, body FROM again",
            f"INSERT INTO mentions SELECT :room, name, {when}, n + :seq FROM again_names",
        ):
            self._raw.execute(statement, given)
        for n in range(ROUND):
            if remembered or (seq + 1 + n) % LOOKED_OVER_EVERY == 0:
                then = at + dt.timedelta(seconds=2 * n)
                total.add(self._entry(n, seq + 1 + n, then, message + min(n // A_NOTE + 1, self.notes)))
        return at + dt.timedelta(seconds=2 * (ROUND - 1))


def build(path: Path, count: int) -> None:
    """Write such a room into a new database: each entry's rows, and a snapshot a hundred entries before the end."""
    database = open_database(str(path))
    book = database.create_room(RoomCard(name="Millrace room", timezone="America/Chicago"))
    book.person_named("Wren")
    person, room = book.person_named("Mara"), book.info.id
    database.close()
    with _written_fast(path) as raw:
        _fill(raw, room, person.key, count)


@contextmanager
def _written_fast(path: Path) -> Iterator[sqlite3.Connection]:
    """The database, all written at once: without its indices until the end, and without waiting for the disk."""
    raw = sqlite3.connect(path, isolation_level=None)
    raw.executescript("PRAGMA synchronous=OFF; PRAGMA cache_size=-200000")
    made = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL").fetchall()
    for name, _ in made:
        raw.execute(f"DROP INDEX {name}")
    raw.execute("BEGIN")
    yield raw
    for _, sql in made:
        raw.execute(sql)
    raw.execute("COMMIT")
    raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    raw.close()


def _fill(raw: sqlite3.Connection, room: int, person: str, count: int) -> None:
    """The rows of every entry, and how the room stands by them."""
    rows = Rows(raw)
    total = Sum(Standing())
    bodies: dict[tuple[int, object], tuple[Event, str, list[str]]] = {}  # of what is said again and again
    message, latest = 0, NOW - YEARS
    again = Again(raw, room, person)
    left = sum(one is None for _, one in history(count))
    seq = 0
    for at, one in history(count):
        at = latest = max(at.replace(microsecond=0), latest)
        if one is None:
            left -= 1
            rows.write()
            latest = again.add(total, seq, message, at, remembered=left < REMEMBERED)
            seq, message = seq + ROUND, message + again.notes
            continue
        seq += 1
        event, about = one
        when = _stored(at)
        if seq % A_NOTE == 1:
            message += 1
            rows.of["messages"].append((message, room, "telegram", f"d{message}", "kitchen", person, when))
            rows.of["message_words"].append((message, TEXT, "log", REPLY, PAYLOAD))
        told = {"seq": seq, "event": event, "at": at, "said": at, "person": person, "message": message}
        entry = Entry.model_construct(**told, **about)  # type: ignore[arg-type]
        total.add(entry)
        plain = event.kind in PLAIN
        known = bodies.get((id(event), about["place"])) if plain else None
        if known is None:
            row, words = entries.row_of(room, entry, late=False)
            if words:
                rows.of["entry_words"].append((room, seq, words["words"]))
            known = event, str(row["body"]), sorted(entry.names)
            if plain:
                bodies[id(event), about["place"]] = known
        rows.of["entries"].append((room, seq, event.kind, when, when, person, message, 0, known[1]))
        rows.of["mentions"] += [(room, name, when, seq) for name in known[2]]
        if seq == count - 100:
            body = snapshots.packed(total.standing)
            raw.execute("INSERT INTO snapshots VALUES (?, ?, ?, ?, ?, ?)", (room, seq, when, when, FOLDING, body))
        if seq % 20_000 == 0:
            rows.write()
    rows.write()
    raw.execute("UPDATE rooms SET head = ?, latest_at = ?", (count, _stored(latest)))


def _stored(at: dt.datetime) -> str:
    return at.strftime("%Y-%m-%d %H:%M:%S.%f")
