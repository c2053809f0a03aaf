"""Two readings of one note: how far each is trusted, which one stands, and what is asked where neither does."""

from __future__ import annotations

import datetime as dt
import json
import math
from dataclasses import replace

import pytest

from bot.language import Names, Reader
from bot.language.doubts import heard_twice
from bot.language.doubts import trust as trust_of
from bot.language.doubts.heard_twice import TRUSTED
from bot.language.doubts.trust import TREES, Both, trust
from bot.language.learnt.question import about_what_was_told, asked
from bot.language.learnt.second_reading import tags_of
from bot.language.reading import Query, Reading
from shared.events import Event, event_from
from tests.language.judging import Raw, card_of

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
NAMES = Names.of(card_of("millrace.json"))
READER = Reader(NAMES, twice=False)
NOTE = "Forty eggs came out of tank 3 for me tonight, would you believe"
FORTY: Raw = {"kind": "pull", "place": "tank 3", "count": 40}
FOUR: Raw = {"kind": "pull", "place": "tank 3", "count": 4}


def log(*raws: Raw) -> Reading:
    return Reading("log", tuple(map(event_from, raws)))


def both_of(text: str, rules: Reading, net: Reading) -> Both:
    heard = READER.both(text, SENT)
    again = replace(
        heard.again,
        events=net.events,
        query=net.query,
        complete=True,
        whole=True,
        sure=0.9,
        all_sure=0.8,
        otherwise=list,
    )
    return heard._replace(rules=rules, net=net, again=again)


def test_what_both_say_is_believed_sooner() -> None:
    alike, apart = (trust(both_of(NOTE, log(FORTY), log(other))) for other in (FORTY, FOUR))
    assert min(alike) > max(apart)


def test_a_number_left_over_speaks_against_a_reading() -> None:
    text = "40 eggs from tank 3, 6 of them white"
    bare, full = (trust(both_of(text, log(*events), Reading("none")))[0] for events in ([FORTY], [FORTY, WHITE]))
    assert bare < full


OFTEN: Raw = {"kind": "setting", "what": "feeds_per_day", "value": 4}
WHITE: Raw = {"kind": "bad_eggs", "place": "tank 3", "count": 6}


def test_what_only_asks_is_not_trusted() -> None:
    assert trust(both_of(NOTE, Reading("ask"), Reading("ask"))) == (0.0, 0.0)


def test_the_trees_are_of_these_signs() -> None:
    rules, net = READER.both(NOTE, SENT)._replace(rules=log(FORTY), net=log(FORTY)).signs()
    kept = json.loads(TREES.read_text(encoding="utf-8"))
    assert kept["signs"] == sorted(rules) == sorted(net)
    assert all(len(kept[which]["trees"]) > 10 for which in ("rules", "net"))


def test_the_leaves_of_trees_are_added_up(monkeypatch: pytest.MonkeyPatch) -> None:
    trees = [[0, 0.5, -1.0, [1, 3.0, 0.25, 2.0]], 0.5]
    monkeypatch.setattr(trust_of, "_grown", lambda: (["agree", "words"], [(0.0, trees), (-1.0, trees)]))
    heard = READER.both(NOTE, SENT)
    signs = ({"agree": 1.0, "words": 9.0}, {"agree": 0.0, "words": 9.0})
    monkeypatch.setattr(Both, "signs", lambda both: signs)
    of_rules, of_net = trust(heard._replace(rules=log(FORTY), net=log(FORTY)))
    assert of_rules == pytest.approx(1 / (1 + math.exp(-2.5)))
    assert of_net == pytest.approx(1 / (1 + math.exp(1.5)))


@pytest.mark.parametrize(
    ("rules", "net", "of_rules", "of_net", "stands", "choices"),
    [
        (log(FORTY), log(FORTY), 0.9, 0.9, log(FORTY), []),
        (log(FORTY), log(FOUR), 0.9, 0.1, log(FORTY), []),
        (log(FORTY), log(FOUR), 0.2, 0.9, log(FOUR), []),
        (log(FORTY), log(FOUR), 0.5, 0.4, None, [FORTY, FOUR]),
        (log(FORTY), log(FOUR), 0.3, 0.5, None, [FOUR, FORTY]),
        (log(FORTY), log(FORTY), 0.5, 0.5, None, [FORTY]),
        (log(OFTEN), log(OFTEN), 0.5, 0.9, log(OFTEN), []),  # an order both give
        (log(OFTEN), log(FORTY), 0.5, 0.6, None, [FORTY, OFTEN]),
        (log(FORTY), Reading("none"), 0.5, 0.3, None, [FORTY]),
        (log(FORTY), Reading("none"), 0.3, 0.9, None, [FORTY]),  # a fact is never passed over unasked
        (Reading("none"), log(FORTY), 0.2, TRUSTED, None, [FORTY]),
        (Reading("none"), log(FORTY), 0.2, 0.5, None, [FORTY]),
        (Reading("answer", query=Query("due")), Reading("answer", query=Query("last")), 0.2, 0.8, Query("last"), []),
        (Reading("answer", query=Query("due")), Reading("answer", query=Query("last")), 0.6, 0.4, Query("due"), []),
    ],
)
def test_the_likelier_stands_where_it_can_be_trusted(
    monkeypatch: pytest.MonkeyPatch,
    rules: Reading,
    net: Reading,
    of_rules: float,
    of_net: float,
    stands: Reading | Query | None,
    choices: list[Raw],
) -> None:
    monkeypatch.setattr(heard_twice, "trust", lambda both: (of_rules, of_net))
    both = both_of(NOTE, rules, net)
    monkeypatch.setattr(heard_twice.First, "both", lambda first, rules: both)
    heard = settled(rules)
    if stands is None:
        assert (heard.outcome, heard.events) == ("ask", ())
        (doubt,) = heard.doubts
        *likely, (last, _) = doubt.likely
        assert [list(events) for _, events in likely] == [[event_from(raw).outside()] for raw in choices]
        assert last == "leave it as a remark"
    else:
        assert (heard.events, heard.query) == (stands.events, None) if isinstance(stands, Reading) else ((), stands)


def settled(rules: Reading) -> Reading:
    tagger, _, teller, query = READER.told(NOTE, SENT)
    first = heard_twice.First(NOTE, SENT, NAMES, tagger.unclaimed, tagger.unclaimed, False, (), False, query)
    return heard_twice.settled(first, rules, teller, tagger)


@pytest.mark.parametrize(
    ("text", "outcome"),
    [
        ("pulled mop tank 3, 40 eggs", "log"),
        ("temp 780 in tank 9, the glass must be broken", "ask"),  # the net logs nothing that cannot be
        ("40 eggs from tank 99, can you believe it", "ask"),  # nor of a tank the room lacks
    ],
)
def test_a_doubt_with_a_name_is_never_overruled(monkeypatch: pytest.MonkeyPatch, text: str, outcome: str) -> None:
    monkeypatch.setattr(heard_twice, "trust", lambda both: (0.0, 1.0))
    heard = Reader(NAMES).read(text, SENT)
    assert heard.outcome == outcome


@pytest.mark.parametrize(
    ("text", "parts", "about", "asks"),
    [
        ("how is 14 doing", {"14": "place"}, "place", {"place": "tank 14"}),
        ("how did we do with the gardneri last week", {"gardneri": "line"}, "totals", {"line": "gardneri", "days": 7}),
        (
            "which is warmer, 7 or 14",
            {},
            "last",
            {"quantity": "temperature"},
        ),  # names that play no part are not asked of
        ("when did b22 go in", {"b": "place"}, "batch", {"batch": "B22"}),
        ("what does Hattie get", {"hattie": "buyer"}, "due", {"buyer": "Hattie"}),
    ],
)
def test_a_question_names_what_plays_a_part_in_it(text: str, parts: dict[str, str], about: str, asks: Raw) -> None:
    tags = tags_of(NAMES, text, SENT)
    roles = [parts.get(tag.word or tag.kind, "_") for tag in tags]
    query = asked(NAMES, SENT, tags, ["Q"] * len(tags), roles, about).outside()
    assert {key: query[key] for key in query if key != "date"} == {"about": about, **asks}


@pytest.mark.parametrize(
    ("query", "events", "place"),
    [
        (Query("last"), [FORTY], "tank 3"),
        (Query("due"), [FORTY], None),
        (Query("last", place="tank 5"), [FORTY], "tank 5"),
        (Query("last"), [FORTY, {**FORTY, "place": "tank 5"}], None),
        (Query("last"), [], None),
    ],
)
def test_a_question_beside_a_fact_is_of_its_place(query: Query, events: list[Raw], place: str | None) -> None:
    told: list[Event] = [event_from(raw) for raw in events]
    assert about_what_was_told(query, told).place == place
