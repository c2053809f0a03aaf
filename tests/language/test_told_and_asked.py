"""What is told and asked in one breath: the telling is logged and the question is answered, about what was told."""

from __future__ import annotations

import datetime as dt

import pytest

from bot.language import Names, Reader
from tests.language.judging import card_of

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")
READER = Reader(Names.of(card_of("millrace.json")))

# note, kinds told, what is asked about, and the place, line or culture it is asked of
BOTH = [
    ("18 eggs off tank 5, where should they go?", ["pull"], "advice", None),
    ("18 eggs off tank 5 where should they go", ["pull"], "advice", None),
    ("fed 3 and 4, is 7 due?", ["feed"], "due", "tank 7"),
    ("changed 14 and 13, what's next", ["water_change"], "due", None),
    ("nitrite .25 in 12, dangerous?", ["measure"], "ammonia", "tank 12"),
    ("nitrate in 13 has gone to 40, how much should i change", ["measure"], "calc", "tank 13"),
    ("started brine at 7am, when is it ready?", ["culture"], "culture", "brine shrimp"),
    ("sold 6 gardneri to Lena for $30, what's left", ["sale"], "stock", "gardneri"),
    ("5 gone white in C. is that too many", ["bad_eggs"], "advice", "tub C"),
    ("2 jumped out of 3 last night, is that more than usual for them", ["death"], "totals", "tank 3"),
    ("topped off 7, did anyone feed it", ["top_off"], "history", None),
    ("how many in 14, I fed it flake", ["feed"], "stock", "tank 14"),
    ("when is B22 due, I took out 3 bad ones from tub B", ["bad_eggs"], "due", None),
    ("wetted B20 at noon, when will it hatch", ["peat"], "hatch", None),
]


@pytest.mark.parametrize(("text", "kinds", "about", "of"), BOTH, ids=[b[0] for b in BOTH])
def test_both_are_heard(text: str, kinds: list[str], about: str, of: str | None) -> None:
    got = READER.read(text, SENT)
    assert (got.outcome, [e.kind for e in got.events]) == ("both", kinds)
    assert got.query is not None and got.query.about == about
    assert of is None or of in (got.query.place, got.query.line, got.query.culture)


ALONE = [
    ("30 litres out of 112, how many percent is that?", "answer"),
    ("nitrate in 10, last number we have and how old is it", "answer"),
    ("if I changed half of 7, what would nitrate be?", "answer"),
    ("All tanks were fed except 15, which is fasting.", "log"),
    ("pulled 23 from tank 9, which are now in tub D", "log"),
    ("ph 6.8 in the 40, strip not drops so give or take", "log"),
    ("five gularis hatched in tub A and I left them where they are", "log"),
]


@pytest.mark.parametrize(("text", "outcome"), ALONE)
def test_one_of_them_alone_stays_what_it_is(text: str, outcome: str) -> None:
    assert READER.read(text, SENT).outcome == outcome


@pytest.mark.parametrize(
    ("text", "about"),
    [
        ("is the morning feed done", "last"),
        ("which mops are up", "due"),
        ("who needs feeding", "due"),
        ("how's everything looking", "due"),
        ("so what's my homework for tomorrow", "due"),
        ("r the gularis in 14 redy 2 go", "ready"),
        ("27c in farenheit", "calc"),
        ("egg total for the month", "totals"),
        ("what did we earn in february", "totals"),
        ("why are the eggs in tub A going white", "advice"),
        ("how long till B22", "hatch"),
        ("what temp is 10", "last"),
        ("whts the hachrate on gardenri", "rate"),
    ],
)
def test_a_question_without_a_mark_is_answered(text: str, about: str) -> None:
    got = READER.read(text, SENT)
    assert got.outcome == "answer" and got.query is not None and got.query.about == about
