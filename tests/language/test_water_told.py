"""Notes of water, food and additives whose parts say only half: the words beside and the room say the rest."""

from __future__ import annotations

import pytest

from bot.language import Names
from tests.language.examples import example_of
from tests.language.judging import Raw, Room, card_of
from tests.language.test_aligned import note_of

CARD = card_of("millrace.json")
NAMES, ROOM = Names.of(CARD), Room.of(CARD)


def event(kind: str, **said: object) -> Raw:
    return {"kind": kind, **said}


@pytest.mark.parametrize(
    "note",
    [
        note_of(
            "tub A 3 white, tub C 2 white, all three changed",
            event("bad_eggs", place="tub A", count=3),
            event("bad_eggs", place="tub C", count=2),
            event("water_change", places=["tub A", "tub B", "tub C"]),
        ),
        note_of(
            "topped off the clowns, the medaka and the corys",
            event("top_off", places=["tank 4", "tank 9", "tank 10"]),
        ),
        note_of(
            "wc, gallons: 13 9, 14 12",
            event("water_change", places=["tank 13"], litres=34.1),
            event("water_change", places=["tank 14"], litres=45.4),
        ),
        note_of("9 lt out of 5", event("water_change", places=["tank 5"], litres=9)),
        note_of(
            "21 medaka eggs into D with a drop of blue",
            event("pull", place="tank 9", line="medaka", count=21, to="tub D"),
            event("dose", place="tub D", substance="methylene blue", amount=1, unit="drop"),
        ),
        note_of(
            "sat & sun, 9 & 10, 25% each day",
            event("water_change", places=["tank 9", "tank 10"], percent=25, date="2026-03-07"),
            event("water_change", places=["tank 9", "tank 10"], percent=25, date="2026-03-08"),
        ),
        note_of("wiped 7 and 9", event("service", places=["tank 7", "tank 9"], item="glass")),
        note_of("B11 is 41. mm", event("measure", batch="B11", quantity="length", value=41)),
        note_of("13 and 14: bbs (frozen)", event("feed", places=["tank 13", "tank 14"], food="frozen brine shrimp")),
        note_of("furzeri peat bagged, 12 weeks", event("peat", line="furzeri", action="bag", weeks=12)),
        note_of(
            "peat out of 6 on saturday, bagged sunday",
            event("peat", place="tank 6", action="collect", date="2026-03-07"),
            event("peat", place="tank 6", action="bag", date="2026-03-08"),
        ),
        note_of(
            "pH 7.4 in 13 at 74, both numbers real",
            event("measure", place="tank 13", quantity="ph", value=7.4),
            event("measure", place="tank 13", quantity="temperature", value=23.3),
        ),
    ],
    ids=lambda note: str(note["text"]),
)
def test_what_no_part_says_follows_from_the_words_beside_and_the_room(note: Raw) -> None:
    assert example_of(note, NAMES, ROOM) is not None
