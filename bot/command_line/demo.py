"""A throw-away room of our own invention with some weeks of history, all of it said in notes like any keeper's."""

from __future__ import annotations

import datetime as dt
import random
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from bot.command_line.setup import set_up
from bot.hear import hear
from shared.room import RoomCard
from storage.engine import Database, open_database
from storage.journal import Message, RoomBook

ZONE = "America/Chicago"
WEEKS = 5
_LINES = (
    ("blue gularis", "Fundulopanchax sjostedti", "water"),
    ("gardneri", "Fundulopanchax gardneri", "water"),
    ("clown killi", "Epiplatys annulatus", "water"),
    ("lampeye", "Poropanchax normani", "water"),
    ("furzeri", "Nothobranchius furzeri", "peat"),
    ("boesemani", "Melanotaenia boesemani", "water"),
    ("forktail", "Pseudomugil furcatus", "water"),
    ("medaka", "Oryzias latipes", "water"),
    ("panda cory", "Corydoras panda", "water"),
)
_TANKS = (
    ("20 gal", "breeders", "blue gularis"),
    ("10 gal", "breeders", "gardneri"),
    ("10 gal", "breeders", "gardneri"),
    ("5.5 gal", "breeders", "clown killi"),
    ("20 gal", "breeders", "lampeye"),
    ("10 gal", "breeders", "furzeri"),
    ("29 gal", "breeders", "boesemani"),
    ("15 gal", "breeders", "forktail"),
    ("20 gal", "breeders", "medaka"),
    ("20 gal", "breeders", "panda cory"),
    ("5.5 gal", "nursery", "boesemani"),
    ("5.5 gal", "nursery", None),
    ("30 gal", "grow-out", "gardneri"),
    ("40 gal", "grow-out", "blue gularis"),
    ("10 gal", "quarantine", None),
    ("20 gal", "empty", None),
)
# Of each laying tank: the tub for the eggs that are sold, how many a round brings at most, and who buys them.
_LAYING: dict[int, tuple[str, int, str]] = {
    1: ("M", 16, "Mr Okafor"),
    2: ("N", 14, "Mina"),
    3: ("N", 18, "Mina"),
    4: ("P", 6, "Mina"),
    5: ("Q", 10, "Mr Okafor"),
    7: ("R", 30, "Lena"),
    8: ("S", 9, "Lena"),
    9: ("T", 24, "Lena"),
    10: ("U", 20, "Mr Okafor"),
}
_NO_EGGS = 0.15  # the share of rounds that bring none
_EGGS_GO = (26, 17, 8)  # days before today on which the tubs of eggs are sold
# Days before today, hour, who, and the note. {n} is a number the seed decides within its range.
_STORY: tuple[tuple[int, str, str, str], ...] = (
    (34, "07:10", "Rosa", "pulled mop tank 3, 36 eggs into tub B, 4 drops peroxide"),
    (34, "07:30", "Rosa", "tank 1 mop, 24 eggs into tub A"),
    (34, "18:20", "Ivo", "tank 5 mop 18 eggs into tub C"),
    (32, "07:15", "Rosa", "pulled mop tank 2, 14 eggs into tub B"),
    (31, "07:20", "Rosa", "pulled mop tank 1, 12 eggs into tub A"),
    (31, "07:30", "Rosa", "pulled mop tank 9, 22 eggs into tub D"),
    (30, "18:00", "Rosa", "3 bad eggs tub B"),
    (28, "07:10", "Rosa", "mop tank 8, no eggs"),
    (28, "18:30", "Ivo", "2 bad eggs tub A"),
    (26, "17:30", "Rosa", "sold 4 juveniles from tank 13 to Mr Okafor for $20"),
    (25, "07:05", "Rosa", "tank 7 mop, 41 eggs into tub H"),
    (23, "18:10", "Rosa", "tub B eyed"),
    (21, "07:00", "Rosa", "15 hatched in tub D, moved to tub G"),
    (20, "07:00", "Rosa", "11 hatched in tub C, moved to tub F"),
    (19, "06:50", "Rosa", "28 hatched in tub B, moved to tub E"),
    (18, "06:50", "Rosa", "9 hatched in tub B, moved to tub E"),
    (19, "18:10", "Rosa", "7 bad eggs tub C"),
    (19, "18:15", "Rosa", "7 bad eggs tub D"),
    (17, "18:10", "Rosa", "10 bad eggs tub B"),
    (15, "18:10", "Rosa", "15 bad eggs tub H"),
    (13, "18:10", "Rosa", "14 bad eggs tub A"),
    (16, "07:05", "Rosa", "26 hatched in tub H, moved to tank 11"),
    (15, "07:10", "Rosa", "2 dead in tub E"),
    (14, "18:00", "Ivo", "20 hatched in tub A, moved to tub I"),
    (12, "18:00", "Rosa", "3 dead in tank 13"),
    (11, "17:00", "Rosa", "sold a trio of gardneri from tank 13 for $25"),
    (10, "09:00", "Rosa", "moved 30 fry from tub E to tank 12"),
    (9, "07:00", "Rosa", "pulled mop tank 8, 6 eggs into tub L"),
    (6, "07:15", "Rosa", "pulled mop tank 2, 9 eggs into tub B"),
    (5, "07:20", "Rosa", "mop tank 8, no eggs"),
    (3, "18:00", "Rosa", "2 bad eggs tub B"),
    (2, "18:05", "Rosa", "1 bad egg tub A"),
    (2, "10:00", "Rosa", "Lena wants 4 of the gardneri from tank 13, reserve them for her"),
)


def _places() -> list[dict[str, Any]]:
    tanks = [
        {"name": f"tank {n}", "kind": "tank", "volume": volume, "role": role, "line": line}
        for n, (volume, role, line) in enumerate(_TANKS, 1)
    ]
    eggs = [{"name": f"tub {c}", "kind": "tub", "volume": "2 cups", "role": "eggs"} for c in "ABCDHLMNPQRSTU"]
    fry = [{"name": f"tub {c}", "kind": "tub", "volume": "1 qt", "role": "fry"} for c in "EFGI"]
    return tanks + eggs + fry


def _cards(today: dt.date) -> tuple[RoomCard, RoomCard]:
    """The room five weeks ago, and the batches set up since by the other hand."""

    def day(before: int) -> str:
        return (today - dt.timedelta(days=before)).isoformat()

    def young(name: str, line: str, tank: str, count: int, age: int) -> dict[str, Any]:
        return {"name": name, "line": line, "stage": "juveniles", "place": tank, "count": count, "hatched": day(age)}

    head: dict[str, Any] = {"name": "Millrace room", "timezone": ZONE, "units": "us", "members": ["Rosa", "Ivo"]}
    lines = [{"name": name, "species": species, "eggs": eggs} for name, species, eggs in _LINES]
    first = {
        **head,
        "as_of": day(WEEKS * 7),
        "lines": lines,
        "places": _places(),
        "cultures": ["microworm 1", "microworm 2", "vinegar eel", "daphnia", "brine shrimp"],
        "batches": [
            {
                "name": "B3",
                "line": "blue gularis",
                "stage": "juveniles",
                "place": "tank 14",
                "count": 22,
                "hatched": day(110),
            },
            {
                "name": "B5",
                "line": "gardneri",
                "stage": "juveniles",
                "place": "tank 13",
                "count": 84,
                "hatched": day(80),
            },
            {"name": "B7", "line": "furzeri", "stage": "eggs", "place": "peat bag", "count": None, "laid": day(90)},
        ],
    }
    later = {
        **head,
        "as_of": day(8),
        "batches": [
            {"name": "B51", "line": "blue gularis", "stage": "eggs", "place": "tub A", "count": 38, "laid": day(12)},
            {"name": "B52", "line": "gardneri", "stage": "eggs", "place": "tub B", "count": 52, "laid": day(8)},
            {"name": "B53", "line": "lampeye", "stage": "eggs", "place": "tub C", "count": 24, "laid": day(8)},
        ],
    }
    return RoomCard.model_validate(first), RoomCard.model_validate(later)


def _chores(dice: random.Random) -> Iterator[tuple[int, str, str, str]]:
    """The daily round: water, feeds, readings."""
    for before in range(WEEKS * 7 - 1, 0, -1):
        if before < WEEKS * 7 - 1:  # on the first day no tub holds eggs yet
            yield before, "06:40", "Rosa", "egg tubs changed"
        if before <= 20:
            yield before, "17:45", "Ivo", "25% water change tanks 11 and 12"
            yield before, "12:35", dice.choice(("Rosa", "Ivo")), "fry fed microworms"
        if before % 3 == 2:
            yield before, "07:40", "Rosa", "fed all the adults flake"
            yield before, "20:10", "Ivo", f"fed microworm {dice.choice((1, 2))}"
        if before % 2 == 1:
            yield before, "19:10", "Rosa", "40% water change tanks 13 and 14"
        if before % 3 == 0:
            yield before, "18:40", "Rosa", f"temps t1-3 {' '.join(str(dice.randint(72, 76)) for _ in range(3))}"
        if before % 7 == 2:
            yield before, "19:30", "Ivo", "30% water change tanks 1 to 10"
            yield before, "07:55", "Rosa", "collected the peat from tank 6"
            yield before, "19:50", "Rosa", f"tank 13 nitrate {dice.choice((20, 20, 30, 40))}"


def _laying(dice: random.Random) -> Iterator[tuple[int, str, str, str]]:
    """Every third day's eggs into the tubs they are sold from, and the tubs sold before any can hatch."""
    held: dict[str, int] = {}
    for before in range(WEEKS * 7 - 1, 0, -1):
        for tank, (tub, most, _) in _LAYING.items() if before % 3 == 1 else ():
            count = 0 if dice.random() < _NO_EGGS else dice.randint(max(most // 3, 2), most)
            held[tub] = held.get(tub, 0) + count
            where = "glass" if tank == 10 else "mop"
            told = f"tank {tank}, no eggs on the {where}"
            if count:
                told = f"{where} tank {tank}, {count} eggs into tub {tub}"
            yield before, f"07:{40 + tank}", "Rosa", told
        if before in _EGGS_GO:
            for tub, count in held.items():
                tank = next(t for t, its in _LAYING.items() if its[0] == tub)
                line = _TANKS[tank - 1][2]
                if count:
                    yield (
                        before,
                        "16:00",
                        "Rosa",
                        f"sold {count} {line} eggs from tub {tub} to {_LAYING[tank][2]} for ${max(count // 3, 3)}",
                    )
            held.clear()


def notes(today: dt.date, seed: int = 7) -> list[tuple[dt.datetime, str, str]]:
    """Every note of the history as (local time, who, text), in order; the same for the same day and seed."""
    dice = random.Random(seed)
    told = [*_STORY, *_chores(dice), *_laying(dice)]
    out = [
        (dt.datetime.fromisoformat(f"{today - dt.timedelta(days=before)}T{clock}"), who, text)
        for before, clock, who, text in told
    ]
    return sorted(out, key=lambda note: note[0])


def fill(database: Database, book: RoomBook, later: RoomCard, today: dt.date, now: dt.datetime) -> None:
    """Say the whole history to the room."""
    people = {name: book.person_named(name).key for name in ("Rosa", "Ivo")}
    change = dt.datetime.combine(today - dt.timedelta(days=8), dt.time(12))
    extended = False
    for n, (at, who, text) in enumerate(notes(today)):
        if at > change and not extended:
            set_up(database, later, now)
            extended = True
        sent = at.replace(tzinfo=book.info.zone)
        hear(book, Message("replay", f"demo:{n}", "demo", people[who], text, sent))


@contextmanager
def demo_room(now: dt.datetime) -> Iterator[RoomBook]:
    """The demo room in a folder of its own that is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="roomhand-try-") as folder:
        database = open_database(str(Path(folder) / "demo.db"))
        try:
            first, later = _cards(now.astimezone(RoomCard(timezone=ZONE).zone).date())
            book, _ = set_up(database, first, now)
            fill(database, book, later, now.astimezone(book.info.zone).date(), now)
            yield book
        finally:
            database.close()
