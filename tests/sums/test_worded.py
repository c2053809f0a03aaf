"""Sums in the words of other keepers, odd numbers and all: answered, and nothing is logged for them."""

from __future__ import annotations

import pytest

from tests.sums.conftest import Room

BASE_20_10 = 30 * (20 - 10)  # degree-days above a base, by definition


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        # degree-days
        ("degree days above 10 for 30 days at 20c", (f"{BASE_20_10} degree-days",)),
        ("30 days at 20 C base 10, how many degree days", (f"{BASE_20_10} degree-days",)),
        ("what's the degree days for 12 days at 24c with threshold 11", ("156 degree-days",)),  # 12 × 13
        ("i need 900 degree days, i have 756, water is 50F base 32, how many days", ("8 days",)),  # 144 / 18
        ("how many degree days for gardneri eggs", ("degree-days (°C) above", "between 19 and 28 °C")),
        ("degree days for furzeri", ("wait for water",)),
        ("degree days for snakehead", ("no figures",)),
        # mouths: 0.36 of the height, Cunha & Planas 1999
        ("how wide a prey can fry with a 300 micron mouth take", ("best about 108",)),
        ("my fry have a mouth of 0.4 mm, what can they eat", ("best about 144",)),
        ("gape 250 um, will bbs fit", ("best about 90",)),
        ("prey width for a 200 micron gape", ("best about 72",)),
        ("what size food for lampeye fry", ("tiny mouths",)),
        # stocks: C1 V1 = C2 V2
        ("dilute 5% stock to 1% how much in 100 ml", ("20 mL of the 5 % and 80 mL of water",)),
        ("how do I make 250 ml of 1% from a 5% methylene blue stock", ("50 mL of the 5 % and 200 mL",)),
        ("dilute 35% peroxide to 3%", ("No dose for peroxide",)),
        ("dilute 1% to 5%", ("cannot be diluted",)),
        ("1 tsp of 2.303% methylene blue in 10 gal is how strong", ("3 mg/L",)),  # 4.929 mL × 23.03 / 37.854
        ("35% peroxide for 2 cups", ("No dose for peroxide",)),
        ("formalin dose for 10 gallons", ("No dose for formalin",)),
        # several changes in a row
        ("nitrate 100, five 10% changes", ("59 mg/L of 100",)),  # 0.9⁵
        ("nitrate 100 five changes of 10 percent", ("59 mg/L of 100",)),
        ("nitrate is 80, three 25% changes, where do i end up", ("33.8 mg/L of 80",)),  # 80 × 0.75³
        ("what's left of 60 ppm nitrate after 2 50% changes", ("15 mg/L of 60",)),
        ("nitrate from 80 to 20 how many 30% changes", ("4 changes",)),  # 80 × 0.7⁴ = 19.2
        # pH, with no tank named and with a line
        ("is ph 7.2 ok", ("pH 7.2: fine", "6.5–9")),
        ("is ph 5 ok", ("pH 5: on the acid side",)),  # and not about tank 5
        ("is pH 7.2 ok for gularis", ("for blue gularis: fine",)),
        ("ph 9.6, is that bad", ("not good",)),
        ("is ph 72 ok", ("not possible",)),
        ("ammonia 0.5 ph 8 at 78F?", ("0.028 mg/L",)),  # and not of tank 8; Emerson et al. 1975
        # nitrite, nitrate, oxygen
        ("how bad is nitrate at 80", ("Nitrate 80 mg/L: harmful",)),
        ("is 5 mg/l oxygen ok at 26c", ("62 %", "Enough")),  # 5 / 8.11
        ("do reading 2 at 26 c, percent saturation?", ("25 %", "Too little")),
        # warmth
        ("is 78f ok for gardneri", ("within",)),
        ("is 780 f ok for gardneri", ("no water temperature",)),
        # boxes, mixes, aged water, steady states, drips
        ("tank 60 cm x 30 x 36 how many litres", ("64.8 l",)),
        ("my tank is 24 long, 12 wide and 16 high, how many gallons", ("19.9 US gal",)),  # 4608 in³ / 231
        ("my tap is 300 tds, how much ro for 20 gallons at 100", ("33.3 % tap", "6.7 gal tap")),
        ("how much water do tomorrow's changes take", ("aged water",)),
        ("water to set out for wednesday", ("Wed 11 Mar",)),
        ("20% automatic changes a day, nitrate goes up 2 a day, where does it settle", ("10 mg/L", "8 just after")),
        ("auto change 15 percent daily and nitrate climbs 3 per day, what will it stay at", ("20 mg/L",)),
        ("a drip of 10% a day for a week replaces how much", ("50.3 %",)),  # 1 − exp(−0.7)
        # units
        ("200 ppm hardness in degrees", ("11.2 dgh",)),  # / 17.848
        ("10 french degrees in german", ("5.6 dgh",)),
        ("how many ml is 20 drops", ("1 ml (0.909–1.11)",)),
        # kin
        ("half sibs inbreeding", ("12.5 %",)),  # Falconer & Mackay 1996, ch. 5
        ("father to daughter inbreeding", ("25 %",)),
        ("how many parents really count in tank 2 with 1 male and 5 females", ("3.33",)),  # 4 × 5 / 6
        # growth and room
        ("how big are B14 now", ("mm (",)),
        ("is tub E overcrowded with 31 fry", ("with 31 fish",)),  # those that are there, not 31 more
        ("can i put 20 more fry in tub E", ("with 51 fish",)),
        ("how big is a snakehead at 30 days", ("no figures",)),
        ("first food for snakehead fry", ("nothing is known",)),
        ("what live food do I need to start", ("Start",)),
        ("which live foods must I start and when", ("Start",)),
        ("is it time to start brine shrimp", ("Start baby brine shrimp",)),
        ("when do i start a microworm culture for B22", ("None of the fry to come",)),  # large mouths
        ("what do I feed B23 when they hatch", ("tiny mouths",)),
        ("when will the boesemani be an inch", ("25.4 mm at", "B17")),
        ("at what age do gardneri reach 1 inch", ("25.4 mm at",)),
        ("how many gardneri can i sell in may", ("31 May about",)),
        ("can I put 100 1 inch gardneri in a 20 gallon", ("100 fish of 25.4 mm in 20 gal",)),
        ("how many 1 inch fish fit in tank 16", ("fill 20 gal",)),
        ("how many boesemani can I keep in 29 gallons", ("how many, how long and how much water",)),
        ("what size are the fish from B14", ("gardneri at 50 days", "mm (")),
        ("how many gardneri will be big enough to sell by April 20", ("by: Mon 20 Apr about",)),
        ("how many weeks till B17 can be sold", ("B17 (boesemani)", "sale size")),
        ("2 males 6 females effective size", ("count as 6 parents",)),  # 4 × 2 × 6 / 8
        # what might be done, and a question of it
        ("if I change 20% a day when is nitrate under 10 from 60", ("9 changes of 20 %", "8.05")),  # 60 × 0.8⁹
        ("if I do 30% twice a week when is nitrate below 20 from 80", ("4 changes of 30 %",)),  # 80 × 0.7⁴ = 19.2
        ("if I keep tub B at 82 when does it hatch", ("at 82 °F", "B22, kept so")),
        # warm and cold water, by proportion
        ("mix 5 gal at 70 F with 2 gal at 90 F, what temperature", ("Mixed: 75.7 °F",)),  # (5 × 70 + 2 × 90) / 7
        ("I want 15 gallons at 76, tap is 60 and hot is 120, how much of each", ("26.7 % hot", "4 gal hot")),  # 16 / 60
        ("tap is 12 C, hot is 55 C, I need 20 litres at 25, how much hot", ("30.2 % hot", "scalds")),  # 13 / 43
        ("hot is 50 and cold is 60 and I want 10 gal at 78 how much of each", ("does not lie between",)),
        ("my RO is 0 and the tap is 400 tds I want 120 how much of each for 15 gal", ("30 % tap", "4.5 gal tap")),
        # hatches to come
        ("how many fry will hatch next week", ("B22 (gardneri, tub B)",)),
        ("how many fry do I get in the week of March 16", ("B22 (gardneri, tub B)",)),
        ("how many fry do I get in the week of April 20", ("No batch is expected then",)),
        ("chance that tub A has hatched by Friday", ("begun by the end of Fri 13 Mar:",)),
        ("did tub A fail", ("B21 (blue gularis): first fry",)),
        ("how long do unicorn fish eggs take at 76", ("Nobody keeps “unicorn”",)),
    ],
)  # fmt: skip
def test_a_sum_in_other_words(room: Room, text: str, parts: tuple[str, ...]) -> None:
    reply = room.say(text)
    assert reply.outcome == "answer", reply.text
    assert not reply.events
    for part in parts:
        assert part in reply.text
    assert len(reply.text.splitlines()) <= 4


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [("ph 8 in tank 9", "ph", 8.0), ("ph 8 is 7.2", "ph", 7.2), ("tank 9 ph 8 78F", "ph", 8.0)],
)
def test_a_reading_is_still_a_reading(room: Room, text: str, kind: str, value: float) -> None:
    reply = room.say(text)
    assert next((e["quantity"], e["value"]) for e in reply.events) == (kind, value)


@pytest.mark.parametrize(
    "text",
    [
        "tank 3 -30% water change",
        "tank 3 nitrate -5",
        "ammonia 0.5 ph 8 at 78F",
        "-3 hatched in tub B",
        "4000 drops peroxide tub D",
    ],
)
def test_a_number_below_nothing_or_with_no_tank_is_asked(room: Room, text: str) -> None:
    reply = room.say(text)
    assert reply.outcome == "ask"
    assert not reply.events


def test_two_readings_of_one_hour_that_cannot_both_be(room: Room) -> None:
    room.say("tank 3 temp 24C")
    assert "one of the two is wrong" in room.say("tank 3 temp 14C").text
    assert "one of the two" not in room.say("tank 4 temp 24C").text


@pytest.mark.parametrize(
    ("note", "of"), [("ph 72 in tank 3", "Ph 72"), ("temp in tank 4 is 78", "tank 4"), ("nitrate 40", "Which tank")]
)
def test_a_note_of_another_tank_or_reading_is_no_answer(room: Room, note: str, of: str) -> None:
    assert "cannot be" in room.say("temp in tank 3 is 780").text
    assert of in room.say(note).text
    assert room.book.standing().latest("tank 3", "temperature") is None


def test_why_keeps_a_ph_and_a_temperature_apart(room: Room) -> None:
    room.say("is 0.5 ammonia at ph 8 and 78F bad")
    assert "at 78 °F and pH 8" in room.say("why?").text


def test_how_many_drops_it_was_is_taken_from_the_answer(room: Room) -> None:
    assert "How many?" in room.say("4000 drops peroxide tub D").text
    assert room.say("4").events[0]["amount"] == 4


def test_a_dash_before_each_line_of_a_list_is_no_minus(room: Room) -> None:
    assert [e["count"] for e in room.say("-3 hatched in tub B\n-2 hatched in tub C").events] == [3, 2]


@pytest.mark.parametrize("text", ["did the heater fail in tank 3", "did the filter in tank 4 stop"])
def test_whether_something_broke_is_no_work_done(room: Room, text: str) -> None:
    assert not room.say(text).events
