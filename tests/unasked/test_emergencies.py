"""Emergencies: which notes tell of one, and what is answered; traps are notes that only look like it."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.channels.gsm import folded, segments
from bot.hear import Reply, hear
from bot.talk.alarm import emergency_in
from bot.talk.emergencies import answer_emergency, open_emergencies, place_meant
from shared.due.emergency import LASTS, Emergency, to_save
from shared.events import Remarked
from shared.room import RoomCard
from storage.journal import Message, RoomBook
from tests.test_conversations import retold
from tests.unasked.conftest import House, when

CONVERSATION = Path(__file__).parent / "emergencies.md"

HAPPENING = [
    ("power's out", "power_cut", None),
    ("Power is out!", "power_cut", None),
    ("power cut", "power_cut", None),
    ("it's 33 in here", "heat_wave", None),
    ("It is 95 °F in the fish room", "heat_wave", None),
    ("power out since 2pm", "power_cut", None),
    ("Power’s out again", "power_cut", None),
    ("the power just went out 10 minutes ago", "power_cut", None),
    ("Power outage", "power_cut", None),
    ("we lost power", "power_cut", None),
    ("no electricity", "power_cut", None),
    ("the breaker tripped", "power_cut", None),
    ("ugh, power went out at 3", "power_cut", None),
    ("heat wave", "heat_wave", None),
    ("heatwave here", "heat_wave", None),
    ("we have a heat wave", "heat_wave", None),
    ("the fish room is too hot", "heat_wave", None),
    ("the AC is dead", "heat_wave", None),
    ("heater in 5 is dead", "heater_failed", "5"),
    ("heater 5 dead", "heater_failed", "5"),
    ("the heater in tank 5 died", "heater_failed", "tank 5"),
    ("tank 5's heater stopped working", "heater_failed", "tank 5"),
    ("heater in tub e isn't heating", "heater_failed", "tub e"),
    ("heater died", "heater_failed", None),
    ("dead heater in 5", "heater_failed", "5"),
    ("the heater is stuck on in 9", "heater_stuck", "9"),
    ("heater 9 won't turn off", "heater_stuck", "9"),
    ("tank 7 is leaking", "leak", "tank 7"),
    ("tank seven is leaking", "leak", "tank 7"),
    ("help, tank 7 is leaking badly", "leak", "tank 7"),
    ("Ivo says tank 7 is leaking", "leak", "tank 7"),
    ("tank 7 has been leaking since noon", "leak", "tank 7"),
    ("7's leaking", "leak", "7"),
    ("leak in 7", "leak", "7"),
    ("there's a leak under tank 7", "leak", "tank 7"),
    ("tank 7 sprang a leak", "leak", "tank 7"),
    ("jar 3 is leaking", "leak", "jar 3"),
    ("the medaka tank is leaking", "leak", "medaka"),
    ("leak!", "leak", None),
    ("water pouring out of 7", "leak", "7"),
]
OVER = [
    ("power back", "power_cut", None),
    ("Power's back on!", "power_cut", None),
    ("the power came back at 16:20", "power_cut", None),
    ("electricity is on again", "power_cut", None),
    ("everything is back on", "power_cut", None),
    ("power cut at 14:40, back at 16:00", "power_cut", None),
    ("heat wave is over", "heat_wave", None),
    ("heater in 5 works again", "heater_failed", "5"),
    ("new heater in tank 5", "heater_failed", "tank 5"),
    ("leak fixed", "leak", None),
    ("leak in 7 fixed", "leak", "7"),
    ("tank 7 is no longer leaking", "leak", "tank 7"),
]
TRAPS = [
    "is the power out?",
    "power's out?",
    "tank 7 is leaking??",
    "what if the power goes out",
    "what do I do when power's out",
    "power went out last night",
    "power out in 2019",
    "power out tomorrow 9 to 12",
    "yesterday, power's out all day",
    "The power was off from noon until about 1:30. The tanks dropped to 71, but nothing looks stressed.",
    "power cut 1440 til 1600 room down to 17c , evryting back on,fish ok",
    "new batteries for power cut",
    "power cut drill",
    "power filter in 5 is off",
    "turned the power head off",
    "power off the light in 5",
    "remind me if power's out",
    "neighbor says power's out",
    "who says power's out",
    "the shop's power is out",
    "power's out, just kidding",
    "heat wave tomorrow",
    "heat wave coming",
    "is this a heat wave?",
    "heat up 80",
    "the heat is on",
    "heater in 5 set to 78",
    "heater in 5 isn't dead",
    "buy a heater for 5",
    "1 egg in 14, behind the heater",
    "5 dead in tank 5",
    "tank 5 is dead",
    "3 dead behind the heater in 5",
    "Mopped the floor, big puddle under 9. not a leak, I slopped the bucket",
    "if tank 7 is leaking call me",
    "tank 7 might be leaking",
    "no leak in 7",
    "tank 7 was leaking",
    "tank 7 leaked last year",
    "last week tank 7 is leaking",
    "I worried that tank 7 is leaking",
    "tank 7 is out",
    "tank 7 cracked lid",
    "medaka eggs split",
    "lost 3 in tank 5",
    "light's out in 4",
    "heater",
    "power",
    "back",
    "",
]


@pytest.mark.parametrize(("text", "kind", "place"), HAPPENING)
def test_a_note_that_says_it_is_happening_is_an_emergency(text: str, kind: str, place: str | None) -> None:
    found = emergency_in(text)
    assert found is not None
    assert (found.kind, found.place, found.over, found.rest) == (kind, place, False, "")


@pytest.mark.parametrize(("text", "kind", "place"), OVER)
def test_a_note_that_says_it_is_over_ends_it(text: str, kind: str, place: str | None) -> None:
    found = emergency_in(text)
    assert found is not None
    assert (found.kind, found.place, found.over, found.rest) == (kind, place, True, "")


@pytest.mark.parametrize("text", TRAPS)
def test_stories_questions_plans_and_other_things_are_none(text: str) -> None:
    assert emergency_in(text) is None


@pytest.mark.parametrize(
    ("text", "rest"),
    [
        ("power's out since 2pm, tank 5 at 70F", "tank 5 at 70F"),
        ("fed everyone. Power's out!", "fed everyone"),
        ("tank 7 is leaking and 2 dead in tank 5", "2 dead in tank 5"),
        ("power's out. Should I feed?", "Should I feed?"),
        ("leak fixed, tank 7 filled again", "tank 7 filled again"),
    ],
)
def test_what_else_a_note_says_is_left_for_the_reader(text: str, rest: str) -> None:
    found = emergency_in(text)
    assert found is not None
    assert found.rest == rest


@given(st.text(max_size=300))
def test_any_words_are_taken_without_a_fault(text: str) -> None:
    found = emergency_in(text)
    assert found is None or len(found.rest) <= 2 * len(text)


@given(st.lists(st.sampled_from([*(t for t, *_ in HAPPENING), "now", "tank", "leaking", "the", "and"]), max_size=40))
def test_long_notes_of_alarming_words_are_read_quickly(words: list[str]) -> None:
    emergency_in(" ".join(words))


# ---- the room


@pytest.mark.parametrize("words", ["power's out", "it's 33 in here", "heater in 7 stuck on", "heater in 11 is dead",
                                   "tank 13 is leaking"])  # fmt: skip
def test_by_text_message_it_is_short_and_keeps_its_cautions(house: House, words: str) -> None:
    now, person = when("2026-03-09 14:00"), house.book.person_named("Ivo")
    texted = hear(house.book, Message("sms", "1", "+1", person.key, words, now)).text
    whole = hear(house.book, Message("telegram", "2", "7", person.key, words, now)).text
    assert segments(folded(texted)) <= 4
    assert len(texted) < len(whole)
    assert [line[:12] for line in texted.split("\n")[1:]] == [line[:12] for line in whole.split("\n")[1:]]
    assert "ry hands" in texted or "heaters unplugged" in texted


def test_a_heater_swapped_in_the_same_breath_is_no_emergency_and_is_logged() -> None:
    for words in ("swapped it for the spare", "put the spare in", "replaced it with a new one"):
        found = emergency_in(f"heater in 9 is dead, {words}")
        assert found and found.over and found.place == "9" and found.rest == "replaced the heater in 9"
    for words in ("changed 30% in 7", "changed the water", "will swap it tomorrow"):
        found = emergency_in(f"heater in 9 is dead, {words}")
        assert found and not found.over


def test_notes_of_other_things_are_no_emergencies(card: RoomCard) -> None:
    """Every line of the other golden conversations."""
    files = sorted((Path(__file__).parents[1] / "conversations").glob("*.md"))
    said = [line.partition("> ")[2] for f in files for line in f.read_text("utf-8").splitlines() if "> " in line]
    assert len(said) > 100
    assert {text for text in said if (e := emergency_in(text)) and not e.over} <= {"pwr out 2h"}  # told as one there


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("5", "tank 5"), ("tank 5", "tank 5"), ("e", "tub E"), ("tub e", "tub E"), ("medaka", "tank 9"),
        ("29", "tank 7"), ("5.5", None), ("tank 40", None), ("gardneri", None), (None, None),
    ],
)  # fmt: skip
def test_a_place_is_found_by_number_size_or_fish(house: House, words: str | None, place: str | None) -> None:
    assert place_meant(words, house.book.standing()) == place


def test_the_order_to_save_in(house: House) -> None:
    house.say("9 hatched in tub B, moved to tub F", "2026-03-09 07:00")
    house.say("temp tank 5 82", "2026-03-09 07:00")
    house.say("temp tank 9 84", "2026-03-09 07:00")
    room = to_save(house.book.standing(), when("2026-03-09 14:00"))
    assert room.fullest[0] == "tank 13"  # 84 juveniles in 30 gallons
    assert "tank 14" not in room.fullest[:1]
    assert room.fry == ("tub F", "tub E")  # the youngest first
    assert room.eggs == ("tub A", "tub B", "tub C")
    assert room.small[:2] == ("tank 11", "tank 4")
    assert room.free == ("tank 16", "tank 12", "tank 15")  # quarantine last
    assert [name for name, _ in room.warm] == ["tank 9", "tank 5"]
    later = to_save(house.book.standing(), when("2026-03-11 14:00"))
    assert later.warm == ()


def test_each_first_step_is_for_people(house: House) -> None:
    now, standing = when("2026-03-09 14:00"), house.book.standing()
    for kind in ("power_cut", "heater_failed", "heater_stuck", "leak"):
        text = answer_emergency(Emergency(kind, "5"), standing, house.book, now)
        assert "ry hands" in text.split("\n")[1]
        assert len(text.split("\n")) <= 10
    assert "dry hands" in answer_emergency(Emergency("heat_wave"), standing, house.book, now)


def test_an_empty_room_has_an_answer_too(house: House, tmp_path: Path) -> None:
    empty = House(tmp_path / "empty.db", RoomCard(name="my room", timezone="America/Chicago"), "2026-03-09 08:00")
    for kind in LASTS:
        text = answer_emergency(Emergency(kind), empty.book.standing(), empty.book, when("2026-03-09 14:00"))
        assert "None" not in text
        assert " :" not in text
    empty.close()


def test_one_that_nobody_ends_is_let_go(house: House) -> None:
    ear(house.book, Message("test", "1", "t", house.book.people()[0].key, "power cut", when("2026-03-09 14:00")))
    assert len(open_emergencies(house.book, when("2026-03-09 15:00"))) == 1
    assert len(open_emergencies(house.book, when("2026-03-11 13:00"))) == 1
    assert open_emergencies(house.book, when("2026-03-11 15:00")) == []


def test_taken_back_it_is_closed(house: House) -> None:
    person = house.book.person_named("Rosa").key
    ear(house.book, Message("test", "1", "t", person, "tank 7 is leaking", when("2026-03-09 14:00")))
    assert len(open_emergencies(house.book, when("2026-03-09 14:05"))) == 1
    hear(house.book, Message("test", "2", "t", person, "undo", when("2026-03-09 14:01")))
    assert open_emergencies(house.book, when("2026-03-09 14:05")) == []


# ---- the conversations


def ear(book: RoomBook, message: Message) -> Reply:
    """Hears emergencies first: the answer at once, the note kept as a remark, the rest read as any note."""
    found = emergency_in(message.text)
    now = message.sent.astimezone(book.info.zone)
    told = answer_emergency(found, book.standing(), book, now) if found else ""
    if not found or not told:
        return hear(book, message)
    with book.turn(message) as turn:
        place = place_meant(found.place, turn.standing)
        turn.append(Remarked(text=message.text, place=place), at=message.sent, place=place)
        turn.reply(told, {}, "log")
    return Reply(told, "log")


def test_the_conversations(card: RoomCard, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    told = retold(CONVERSATION, card, tmp_path, ear)
    if request.config.getoption("--rewrite"):
        CONVERSATION.write_text(told, encoding="utf-8")
        return
    assert told == CONVERSATION.read_text(encoding="utf-8")


def test_how_long_it_was_is_told_in_hours(house: House) -> None:
    person = house.book.person_named("Rosa").key
    at = when("2026-03-07 22:00")
    ear(house.book, Message("test", "1", "t", person, "power cut", at))
    # over the night on which an hour is left out
    ends = at.astimezone(dt.UTC) + dt.timedelta(hours=10)
    reply = ear(house.book, Message("test", "2", "t", person, "power back", ends))
    assert reply.text.startswith("Power out for 10 hours.")
