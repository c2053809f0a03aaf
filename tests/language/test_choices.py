"""What is made of two readings of a note, given how far each can be trusted; and what a choice is called."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import pytest

from bot.language import Names, Reader
from bot.language.doubts import heard_twice
from bot.language.doubts.heard_twice import OFFERED, QUIET, TRUSTED, First
from bot.language.doubts.likely import called
from bot.language.doubts.trust import Both
from bot.language.learnt.second_reading import MOST_OTHERS, same
from bot.language.reading import Reading
from bot.language.telling import Teller
from bot.language.text.names import PlaceName
from shared.events import event_from
from tests.language.judging import Raw, card_of

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
NAMES = Names.of(card_of("millrace.json"))
READER = Reader(NAMES)

FED: Raw = {"kind": "culture", "culture": "daphnia", "action": "feed"}
FIVE: Raw = {"kind": "move", "from": "tank 2", "to": "tank 4", "count": 5}
GAP = "the daphnia wanted a spoonful of yeast and got it"  # the rules ask which tank
NEVER_THERE = "moved five of them from 2 over to tank 40"
TALK = "what a lovely long quiet evening it was down by the river"


def read(
    monkeypatch: pytest.MonkeyPatch,
    text: str,
    net: Sequence[Raw],
    trusted: tuple[float, float],
    *,
    whole: bool = True,
    otherwise: Sequence[Raw] = (),
) -> Reading:
    """How a note is read where the net tells some events and each reading is so far to be trusted."""
    events, others = tuple(map(event_from, net)), tuple(map(event_from, otherwise))
    by_itself = First.both

    def both(self: First, rules: Reading) -> Both:
        heard = by_itself(self, rules)
        again = replace(
            heard.again, events=events, query=None, complete=True, whole=whole, chances={}, otherwise=lambda: [others]
        )
        return heard._replace(net=Reading("log" if events else "none", events), again=again)

    monkeypatch.setattr(First, "both", both)
    monkeypatch.setattr(heard_twice, "trust", lambda _: trusted)
    return READER.read(text, SENT)


def logged(reading: Reading) -> list[Raw]:
    return [event.outside() for event in reading.events]


def offered(reading: Reading) -> list[Sequence[Raw]]:
    (doubt,) = reading.doubts
    return [list(events) for _, events in doubt.likely if [e["kind"] for e in events] != ["remark"]]


def test_the_rules_ask_what_these_tests_need() -> None:
    once = Reader(NAMES, twice=False)
    assert [doubt.firm for doubt in once.read(GAP, SENT).doubts] == [False]
    assert [doubt.firm for doubt in once.read(NEVER_THERE, SENT).doubts] == [True]
    assert once.read(TALK, SENT).outcome == "none"


def test_a_gap_of_the_rules_is_filled_by_a_net_that_is_trusted(monkeypatch: pytest.MonkeyPatch) -> None:
    reading = read(monkeypatch, GAP, [FED], (0.0, TRUSTED))
    assert (reading.outcome, logged(reading)) == ("log", [FED])


@pytest.mark.parametrize(("of_net", "whole"), [(TRUSTED - 0.01, True), (0.99, False), (OFFERED, True)])
def test_a_net_that_is_less_sure_has_its_reading_to_tap(
    monkeypatch: pytest.MonkeyPatch, of_net: float, whole: bool
) -> None:
    reading = read(monkeypatch, GAP, [FED], (0.0, of_net), whole=whole)
    assert (reading.outcome, logged(reading)) == ("ask", [])
    assert offered(reading) == [[FED]]


def test_what_is_hardly_likely_is_not_offered(monkeypatch: pytest.MonkeyPatch) -> None:
    reading = read(monkeypatch, GAP, [FED], (0.0, OFFERED - 0.01))
    assert (reading.outcome, offered(reading)) == ("ask", [])


def test_what_else_is_likely_stands_behind_it(monkeypatch: pytest.MonkeyPatch) -> None:
    reading = read(monkeypatch, GAP, [FED], (0.0, 0.5), otherwise=[FIVE])
    assert offered(reading) == [[FED], [FIVE]]


def test_what_else_it_may_be_differs_and_lacks_nothing() -> None:
    """A likely slip of one label gives another reading to tap, never the same one twice."""
    text = "the gularis lot got 12 and then some more out of them, A and B after"
    again = Reader(NAMES, twice=False).both(text, SENT).again
    readings = [again.events, *again.otherwise()]
    assert 1 < len(readings) <= 1 + MOST_OTHERS
    assert not any(same(one, other, NAMES) for one, other in combinations(readings, 2))


def test_what_only_says_less_is_no_other_choice() -> None:
    (doubt,) = READER.read("E's down one, 28", SENT).doubts
    counts = [[(e["kind"], e.get("count")) for e in events] for _, events in doubt.likely]
    assert [("death", 1), ("headcount", 28)] in counts
    assert [("death", None), ("headcount", 28)] not in counts


def test_the_net_does_not_mend_what_cannot_be(monkeypatch: pytest.MonkeyPatch) -> None:
    reading = read(monkeypatch, NEVER_THERE, [FIVE], (0.0, 1.0))
    assert (reading.outcome, logged(reading)) == ("ask", [])
    assert "There is no tank 40 here" in reading.doubts[0].question


def test_small_talk_that_may_well_tell_something_is_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    assert read(monkeypatch, TALK, [], (QUIET, 0.0)).outcome == "none"
    reading = read(monkeypatch, TALK, [], (QUIET - 0.01, 0.0))
    assert (reading.outcome, offered(reading)) == ("ask", [])
    assert reading.doubts[0].question.startswith("I am not sure about “what a lovely")


@pytest.mark.parametrize(
    ("event", "said"),
    [
        ({"kind": "pull", "place": "tank 3", "count": 1}, "1 egg pulled from tank 3"),
        (
            {"kind": "pull", "place": "tank 3", "count": 12, "to": "tub B", "time": "18:00"},
            "12 eggs pulled from tank 3, into tub B, 18:00",
        ),
        (
            {"kind": "sale", "count": 2, "line": "gardneri", "price": 35.0, "buyer": "Jeff", "date": "2026-03-08"},
            "2 gardneri sold, for 35, to Jeff, Sun 8 Mar",
        ),
        (
            {"kind": "sale", "count": 2, "line": "gardneri", "price": 12.5, "currency": "GBP"},
            "2 gardneri sold, for 12.5 GBP",
        ),
        ({"kind": "death", "place": "tank 9", "count": 1, "sex": "male"}, "1 dead in tank 9, male"),
        ({"kind": "feed", "places": ["all"], "except": ["tank 15"], "food": "flake"}, "fed all flake, but not tank 15"),
        ({"kind": "remind", "text": "cory eggs", "every_days": 3.0}, "a reminder, every 3 days"),
        ({"kind": "snooze", "place": "tank 4", "date": "2026-03-09"}, "put off tank 4"),
        ({"kind": "water_change", "places": ["tank 6"], "percent": 100 / 3}, "water changed 33.3 % tank 6"),
        ({"kind": "mop", "place": "tank 3"}, "mop put into tank 3"),
        ({"kind": "close_place", "place": "tub G"}, "close tub G"),
        ({"kind": "new_place", "place": "tub H"}, "set up tub H"),
        ({"kind": "dose", "place": "tub C", "amount": 3.0, "unit": "drop"}, "3 drops into tub C"),
        ({"kind": "fix", "culture": "microworm 2"}, "mend the last one: microworm 2"),
        ({"kind": "fix", "place": "tank 10", "percent": 10.0}, "mend the last one: tank 10 10 %"),
        ({"kind": "fix", "food": "flake", "to": "tub G"}, "mend the last one: flake, into tub G"),
    ],
)
def test_a_choice_says_all_that_it_would_log(event: Raw, said: str) -> None:
    assert called((event,), Teller(NAMES, SENT)) == said


@pytest.mark.parametrize(
    "text",
    [
        "2 white ones in A and B",
        "2 dead in 13 and 14 today",
        "3 dead in 5 and 7 this morning",
        "I counted 30 fry in E and F",
        "4 hatched in A and B overnight",
    ],
)
def test_one_count_of_two_places_is_asked_about(text: str) -> None:
    reading = READER.read(text, SENT)
    assert (reading.outcome, reading.events) == ("ask", ())


def test_a_count_of_each_of_two_places_is_not() -> None:
    reading = READER.read("2 dead in both E and F", SENT)
    assert [(e["place"], e["count"]) for e in logged(reading)] == [("tub E", 2), ("tub F", 2)]


WITH_TUB_I = replace(NAMES, places=(*NAMES.places, *(PlaceName(f"tub {letter}", "tub", "eggs") for letter in "HIJ")))


@pytest.mark.parametrize(
    "text",
    [
        "2 white ones out of B and I changed it",
        "4 dead in 13, so I did half the water straight away",
        "I fed 3 and 4",
        "pulled 12 from 2 and I put them in C",
        "this morning I did 30% in 7",
        "C and D changed, I fed E",
        "I got 12 eggs out of 3",
    ],
)
def test_i_is_the_keeper_where_there_is_a_tub_i(text: str) -> None:
    assert "tub I" not in str(logged(Reader(WITH_TUB_I).read(text, SENT)))


@pytest.mark.parametrize("text", ["H, I and J changed", "changed the water in tub I"])
def test_tub_i_is_a_tub_where_it_is_named(text: str) -> None:
    assert "tub I" in str(logged(Reader(WITH_TUB_I).read(text, SENT)))
