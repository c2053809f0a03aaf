"""Numbers are taken out of a question's own words with what they belong to, whatever order and spelling they have."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.language.asking.given import given_in
from bot.language.asking.which_sum import sum_asked, topic_of

GALLON = 3.785411784  # litres, NIST Handbook 44
CUP = 0.2365882365


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("is 0.5 ammonia at ph 8 and 78F bad", {"ammonia": 0.5, "ph": 8, "temperature": 46 / 1.8}),
        ("ammonia .5 ph 8.0 78 degrees bad?", {"ammonia": 0.5, "ph": 8, "temperature": 46 / 1.8}),
        ("24 degrees ph 8 ammonia 1", {"ammonia": 1, "ph": 8, "temperature": 24}),
        ("0,5 ammonia at ph 8,2", {"ammonia": 0.5, "ph": 8.2}),
        ("is point five ammonia at ph eight and seventy eight degrees bad", {"ammonia": 0.5, "ph": 8}),
        ("nitrite 0 nitrate 20 ammonia 0.5 ok?", {"nitrite": 0, "nitrate": 20, "ammonia": 0.5}),
        ("0.5 ammonia and 0.25 nitrite", {"ammonia": 0.5, "nitrite": 0.25}),
        ("is -5 ammonia bad", {"ammonia": -5}),
        ("how many drops for 3 cups", {"litres": 3 * CUP}),
        ("how much salt for ten gallons at 3 g/l", {"litres": 10 * GALLON, "g_per_l": 3, "substance": "salt"}),
        ("salt at 3 grams per gallon", {"g_per_l": 3 / GALLON}),
        ("2.303% methylene blue stock at 3 mg/L", {"strength": 2.303, "mg_per_l": 3, "substance": "methylene blue"}),
        ("how many 30% changes from 80 to 20, tap is 5", {"percent": 30, "from": 80, "target": 20, "tap": 5}),
        ("25% weekly and it goes up 7 a week", {"percent": 25, "gained": 7}),
        ("16x8x10 inches", {"side1": 16, "side2": 8, "side3": 10, "side_unit": "inches"}),
        ("convert 28 c to f", {"amount": 28, "unit": "c", "to": "f"}),
        ("how many ml in two and a half cups", {"amount": 2.5, "unit": "cups", "to": "ml"}),
        ("1,200 ml in cups", {"amount": 1200, "unit": "ml", "to": "cups"}),
        ("how many teaspoons in a cup", {"amount": 1, "unit": "cup", "to": "teaspoons"}),
        ("50 fry of 10 mm in 20 l", {"count": 50, "length": 10, "litres": 20}),
        ("fish of half an inch", {"length": 12.7}),
        ("after 5 generations with 2 males and 4 females", {"generations": 5, "males": 2, "females": 4}),
        ("2m 6f", {"males": 2, "females": 6}),
        ("a trio", {"males": 1, "females": 2}),
        ("how big after three weeks", {"days": 21}),
    ],
)  # fmt: skip
def test_what_a_question_gives(text: str, wanted: dict[str, float | str]) -> None:
    found = given_in(text)
    assert {key: found.get(key) for key in wanted} == {
        key: pytest.approx(value) if isinstance(value, int | float) else value for key, value in wanted.items()
    }


@pytest.mark.parametrize(
    ("text", "missing"),
    [
        ("is the ammonia in tank 15 dangerous", "ammonia"),
        ("how much salt for 10 gallons", "target"),
        ("is B19 at 78F ok", "females"),
        ("how many 1 inch fish fit in 30 gallons", "count"),
        ("nitrate from 80 to 20", "nitrate"),
        ("how many drops for tub 3", "amount"),
    ],
)
def test_a_number_of_something_else_is_not_taken(text: str, missing: str) -> None:
    assert missing not in given_in(text)


@pytest.mark.parametrize(
    ("metric", "said", "celsius"), [(False, 78, 46 / 1.8), (True, 25, 25), (False, 25, 25), (True, 78, 46 / 1.8)]
)
def test_a_bare_temperature_is_what_water_can_be(metric: bool, said: float, celsius: float) -> None:
    assert given_in(f"temp {said}", metric=metric)["temperature"] == pytest.approx(celsius)


def test_an_imperial_gallon_is_one() -> None:
    assert given_in("salt for 10 gallons", gallon="imperial")["litres"] == pytest.approx(45.4609)  # UK WMA 1985
    assert given_in("salt for 10 imperial gallons")["litres"] == pytest.approx(45.4609)


@given(st.text(alphabet="0123456789.,-/%x mgaltnfcphis", max_size=40))
def test_no_words_raise(text: str) -> None:
    given_in(text)
    topic_of(text)


@pytest.mark.parametrize(
    "text",
    [
        "pulled mop tank 3, 40 eggs",
        "tank 7 25% water change",
        "3 fry dead in tub E this week",
        "4 drops peroxide tub A",
        "sold 6 gardneri",
        "started microworm 1",
        "when did I start microworm 1",
        "what's due",
        "how many gardneri do we have",
        "which tank lays best",
        "8 panda corys into tank 15, drip them 1 hr",
        "twenty of B14 went to tank 16, so tank 13 is less crowded now",
    ],
)
def test_a_note_or_another_question_asks_no_sum(text: str) -> None:
    assert sum_asked(text) is None
