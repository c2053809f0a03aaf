"""Each sum asked in ordinary words is answered with the number worked out beside it, and says why when asked."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from statistics import NormalDist

import pytest

from shared.husbandry.growth import length_at
from shared.room import LineCard
from tests.sums.conftest import Room

GALLON = 3.785411784  # litres, NIST Handbook 44


def nh3(total: float, ph: float, celsius: float) -> str:
    """Un-ionised part by Emerson et al. 1975: pKa = 0.09018 + 2729.92/T."""
    return f"{total / (1 + 10 ** (0.09018 + 2729.92 / (celsius + 273.15) - ph)):.3f} mg/L of it un-ionised"


# ---- through the whole of hearing


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("is 0.5 ammonia at ph 8 and 78F bad", (nh3(0.5, 8, 25.556), "raised", "Change half")),
        ("is 1 ppm ammonia at ph 8 and 24C bad", (nh3(1, 8, 24), "harmful")),  # UF/IFAS FA031: 0.0502
        ("is 0.25 ammonia dangerous at ph 7 and 75F", (nh3(0.25, 7, 23.889), "fine")),
        ("is 0.25 nitrite bad", ("0.25 mg/L: harmful",)),  # Avilez et al. 2004: browned blood from 0.2
        ("is 40 nitrate too high", ("40 mg/L: harmful",)),
        ("how many drops of peroxide for 3 cups", ("6 drops (5–7)", f"{6 * 1.5 / 0.7098:.0f} mg/L")),  # 1.5 mg a drop
        ("how many drops for tub A", ("tub A (2 cups): 4 drops (3–5)", f"{4 * 1.5 / 0.4732:.0f} mg/L")),
        ("how much salt for 10 gallons at 3 g/l", ("113.6 g",)),  # 3 × 37.854
        ("how many tablespoons of salt for 10 gallons at 1 g/L", ("37.9 g", "2.1 level tablespoons")),  # 37.9 / 18
        ("how much methylene blue for 10 gallons from a 2.303% stock at 3 mg/L", ("4.93 mL",)),  # a teaspoon: 3.0 mg/L
        ("how many 30% changes to halve nitrate", ("2 changes", "49 %")),  # 0.7² = 0.49
        ("how many 30% water changes to get nitrate from 80 to 20", ("4 changes", "19.2 mg/L")),  # 80 × 0.7⁴ = 19.2
        ("what percent change to get from 80 to 20 with tap at 5", ("80 %",)),  # (80 − 20) / (80 − 5)
        ("if I run one tank volume through a day how much water is replaced", ("63.2 %",)),  # 1 − 1/e
        ("how many gallons is a 24 x 12 x 16 tank", ("19.9 US gal",)),  # 4608 in³ / 231
        ("how many liters is 10 gallons", ("37.9 liters",)),
        ("how much is 10 imperial gallons in litres", ("45.5 litres",)),
        ("convert 78F to C", ("25.6 °C",)),
        ("28 c in f", ("82.4 °F",)),
        ("how many ml in 3 cups", ("709.8 ml",)),  # 3 × 236.588
        ("how many drops in 5 ml", ("100 drops (90–110)",)),  # 18 to 22 drops to the ml, USP <1101>
        ("how many inches is 25 mm", ("0.984",)),
        ("how many teaspoons in a cup", ("48 teaspoons",)),
        ("how much water is 30% of tank 7", ("8.7 gal",)),  # 0.3 × 29
        ("how much brine shrimp eggs for 200 fry", ("40 mg", "33.3–50")),  # 200 × 50 / 250 000 g
        ("what is the effective population size of 1 male and 99 females", ("3.96",)),  # USFWS broodstock handbook
    ],
)
def test_asked_by_chat(room: Room, text: str, parts: tuple[str, ...]) -> None:
    reply = room.say(text)
    assert reply.outcome == "answer"
    for part in parts:
        assert part in reply.text
    assert len(reply.text.splitlines()) <= 3
    assert not reply.events


@pytest.mark.parametrize(
    ("text", "source"),
    [
        ("is 0.5 ammonia at ph 8 and 78F bad", "Emerson et al. 1975"),
        ("how many drops for tub A", "common practice, no source"),
        ("how many 30% changes to halve nitrate", "mass balance"),
        ("how many liters is 10 gallons", "NIST"),
        ("when can B19 be sold", "°C"),
        ("is tank 13 too crowded", "OECD 203"),
        ("what do I feed lampeye fry first", "Cunha & Planas 1999"),
    ],
)
def test_why_gives_the_basis(room: Room, text: str, source: str) -> None:
    room.say(text)
    assert source in room.say("why?").text


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("is 1 ppm ammonia at ph 8.2 and 780F dangerous", "780 °F"),
        ("is ammonia 0.5 at pH 72 bad", "pH 72 is not possible"),
        ("is -5 ammonia bad", "below zero"),
        ("how many liters is -10 gallons", "below zero"),
        ("when will the 900 mm fish be ready to sell", "900 mm is not a length"),
        ("how many drops of 35% peroxide for tub A", "corrosive"),
        ("how many drops for tank 3", "egg tubs"),
        ("how much copper for tank 3", "No dose for copper"),
        ("is the ammonia in tank 15 dangerous", "No ammonia is on record for tank 15"),
    ],
)
def test_what_cannot_be_gets_a_sentence_and_no_figure(room: Room, text: str, says: str) -> None:
    reply = room.say(text)
    assert says in reply.text
    assert "un-ionised" not in reply.text
    assert not reply.events


def test_two_ways_to_read_a_number_are_asked(room: Room) -> None:
    text = room.ask("is point five ammonia at ph 8 bad", "ammonia", given={"ammonia": 5.0, "ph": 8.0}).text
    assert "0.5 or 5" in text


def test_the_ion_weighs_more_than_its_nitrogen(room_of: Callable[..., Room]) -> None:
    room = room_of(nitrogen_as="ion")
    assert nh3(1 / 1.28786, 8, 24) in room.say("is 1 ammonia at ph 8 and 24C bad").text  # IUPAC: ×1.28786


def test_what_was_measured_fills_in(room: Room) -> None:
    room.say("tank 15 ammonia 1")
    room.say("tank 15 ph 7.8")
    room.say("temp tank 15 76")
    text = room.say("is the ammonia in tank 15 dangerous").text
    assert nh3(1, 7.8, 24.4) in text
    assert "minute" in text  # says when it was measured
    assert nh3(1, 8.4, 24.4) in room.say("is the ammonia in tank 15 dangerous at ph 8.4").text


def test_a_caution_is_said_once_and_again_when_the_danger_is_new(room: Room) -> None:
    only = "Only 3 % without additives"
    assert only in room.say("how many drops for tub A").text
    assert only not in room.say("how many drops for tub B").text
    assert only in room.say("how many drops for tub B", "Ivo").text
    weak = "how much salt for 10 gallons at 1 g/l"
    assert "bath of minutes" not in room.say(weak).text
    assert "bath of minutes" in room.say("how much salt for 10 gallons at 20 g/l").text


def test_no_peroxide_where_fry_are(room: Room) -> None:
    assert "no more peroxide" in room.say("how many drops for tub E").text


# ---- by the words alone


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("where does nitrate settle with 25% weekly and 7 a week", ("28 mg/L", "21 just after")),  # 7/0.25; less 7
        (
            "if it goes up 5 a week with 20% changes and tap at 10 where does it settle",
            ("35 mg/L", "30 just"),
        ),  # 10+5/0.2
        ("what do 4 25% changes leave", ("31.6 %",)),  # 0.75⁴
        ("how many tank volumes must run through to replace 99.9%", ("6.91",)),  # ln 1000
        ("what does a 10% a day drip replace in 7 days", ("50.3 %",)),  # 1 − exp(−0.7)
        ("volume of a tank 16x8x10 inches", ("5.54 US gal",)),  # 1280 in³ / 231
        ("tank 60 x 30 x 30 cm how many litres", ("54 l",)),
        ("how much RO to mix with tap to get 4 dgh from 12", ("33.3 % tap",)),
        ("mix RO and tap for tds 100, tap is 300", ("33.3 % tap", "66.7 % RO")),
        ("what hardness if I mix 10 gallons of RO with 5 gallons of tap at 12 dgh", ("4 dGH",)),  # 12 × 5/15
        ("8 dGH in ppm", ("142.8",)),  # 17.848 mg/L CaCO3 to the degree
        ("25 mm in inches", ("0.984",)),
        ("convert 1 mg/l nitrate-n to nitrate", ("4.43",)),  # IUPAC molar masses
        ("convert 3 furlongs to metres", ("603.5",)),  # 201.168 m each
        ("how much oxygen does water hold at 26C", ("8.11 mg/L",)),  # Benson & Krause; EN 25814
        ("is 5 mg/L oxygen ok at 26C", (f"{100 * 5 / 8.11:.0f} %",)),
        ("what is 50% of 20 gallons", ("10 gal",)),
        ("how much formalin for 10 gallons", ("No dose for formalin",)),
        ("how much malachite green for tank 3", ("No dose for malachite green",)),
        ("what strength is a tablespoon of salt in 5 gallons", (f"{18 / (5 * GALLON):.3g} g/L",)),
        ("inbreeding of full sibs", ("25 %", "37.5 % after 2", "50 % after 3")),  # Falconer & Mackay 1996, ch. 5
        ("inbreeding of half sibs", ("12.5 %",)),
        ("effective number of parents with 2 males and 6 females", ("count as 6", "8.3 %")),  # 4·2·6/8; 1/12
        (
            "inbreeding after 5 generations with 2 males and 4 females",
            (f"{100 * (1 - (1 - 3 / 32) ** 5):.0f} %",),
        ),  # Ne 16/3
        ("how big should gardneri be at 30 days", ("mm",)),
        ("can I put 100 fish of 1 inch in 30 gallons with 50% a day", ("100 % of full",)),  # the practice it is set by
        ("first food for furzeri", ("large mouths", "first day")),
        ("first food for clown killi", ("tiny mouths", "after about a week")),
        ("what can a mouth of 500 micron take as first food", ("best about 180",)),  # 0.36 × 500, Cunha & Planas
    ],
)
def test_asked_by_its_words(room: Room, text: str, parts: tuple[str, ...]) -> None:
    found = room.ask(text)
    for part in parts:
        assert part in found.text
    assert len(found.text.splitlines()) <= 4
    assert found.why or "of 20 gal" in found.text


@pytest.mark.parametrize(
    "text",
    [
        "tank volume 0 x 12 x 12",
        "how many 0% changes to halve nitrate",
        "how many 140% changes to halve nitrate",
        "how many 30% changes to get nitrate from 80 to 4, tap is 5",
        "mix RO and tap for 20 dgh, tap is 12",
        "how much RO for -4 dgh, tap is 12",
        "inbreeding with 0 males and 3 females",
        "effective number of parents with 1.5 males and 3 females",
        "how big is a gardneri at 4000 days",
        "is 900 mm at 40 days good for gardneri",
        "how much oxygen at 780F",
        "how much salt for -10 gallons at 1 g/l",
        "how much salt for 10 gallons at 90 g/l",
        "can I put 50 fry of 900 mm in 20 litres",
        "what is 130% of 20 gallons",
        "convert 3 gallons to mm",
        "how many drops for 0 cups",
    ],
)
def test_nonsense_is_refused_in_one_sentence(room: Room, text: str) -> None:
    found = room.ask(text)
    assert re.search(r"\b(not|no|cannot|nothing|never|must|saltier|outside)\b", found.text, re.IGNORECASE), found.text
    assert len(found.text) < 200
    assert not found.why


def test_a_fish_nobody_has_figures_for(room_of: Callable[..., Room]) -> None:
    room = room_of(lines=(LineCard(name="mystery fish", species="Xenus incognitus", eggs="water"),))
    assert "Nothing is known" in room.ask("first food for mystery fish").text
    assert "No published growth" in room.ask("how big should mystery fish be at 30 days").text


# ---- from the record


def test_aged_water_is_what_is_due(room: Room) -> None:
    # egg tubs A, B, C: 2 cups twice = 12 cups = 3 qt; fry tub E: a quart three times = 3 qt; a tenth more
    for tank in range(1, 17):
        room.say(f"tank {tank} 30% water change")
    text = room.ask("how much aged water do I need for tomorrow", date=None).text
    assert "egg tubs 3 qt" in text
    assert "fry tubs 3 qt" in text


def test_ready_and_how_many_by_week(room: Room) -> None:
    assert "to move up" in room.say("when can B19 move up").text
    text = room.ask("how many gardneri will be ready in which week").text
    assert "Of 115 (B14 and B19)" in text  # 84 + 31
    shown = [int(n) for n in re.findall(r"about (\d+)", text)]
    assert shown == sorted(shown)
    assert shown[-1] <= 115
    # the first number by the chance that each group is at 25 mm on that Sunday, log-normal between its 80 % ends
    expected = 0.0
    for count, age in ((84, 56), (31, 12)):  # hatched 18 Jan and 3 Mar, on 15 March
        at = length_at("Fundulopanchax gardneri", age)
        assert at.low and at.high
        spread = math.log(at.high / at.low) / (2 * NormalDist().inv_cdf(0.9))
        expected += count * NormalDist().cdf(math.log(at.value / 25) / spread)
    assert shown[0] == round(expected)


def test_crowding_takes_lengths_and_changes_from_the_record(room: Room) -> None:
    by_age = room.say("is tank 13 too crowded").text
    assert "by age" in by_age
    assert "no changes on record" in by_age
    room.say("B14 18 mm")
    for _ in range(3):
        room.say("tank 13 50% water change")
    text = room.say("is tank 13 too crowded").text
    assert "measured here" in text
    assert "3 changes on record" in text
    assert "overcrowded" in by_age
    assert "overcrowded" not in text


def test_live_foods_for_the_coming_hatches(room: Room) -> None:
    text = room.ask("when to start live foods for the coming hatches").text
    assert "infusoria: today, for B23" in text  # lampeye, fry from 12 March, three days before
    assert "Kept already: microworms" in text
    room.say("microworm 1 crashed")
    room.say("microworm 2 crashed")
    assert "microworms: " in room.ask("when should I start microworms for the next hatch").text


def test_when_a_culture_is_started_afresh(room: Room) -> None:
    room.log("2026-02-20", "culture", culture="microworm 1", action="start")
    text = room.ask("when should I restart microworm 1", culture="microworm 1").text
    assert "now (started Fri 20 Feb)" in text  # two to three weeks: common practice, no source


def test_a_line_s_parents_come_from_the_count(room: Room) -> None:
    assert "taken as founders" in room.ask("how inbred is the gardneri line").text
    assert "not counted" in room.ask("effective number of parents of gardneri").text
    room.say("counted tank 2: 2 males 6 females")
    room.say("counted tank 3: 1 male 3 females")
    text = room.ask("effective number of parents of gardneri").text
    assert "3 males and 9 females in tanks 2 and 3 count as 9" in text  # 4·3·9/12
