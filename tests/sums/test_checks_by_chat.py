"""Published figures asked in ordinary words with the figures' own numbers; the source beside each."""

from __future__ import annotations

import pytest

from tests.sums.conftest import Room

EMERSON = "Emerson et al. 1975, J. Fish. Res. Board Can. 32:2379, as tabled in UF/IFAS Extension FA031"
OXYGEN = "EN 25814 / APHA Standard Methods 4500-O (Benson & Krause)"
NIST = "NIST Handbook 44, appendix C"
MASS = "mass balance"
INCHES = "231 in³ to the US gallon (NIST Handbook 44); outside sizes, common practice, no source"

ASKED: list[tuple[str, str, str]] = [
    ("is 1 ppm ammonia at ph 7.0 and 20C dangerous", "0.004 mg/L of it un-ionised", EMERSON),  # 0.00394
    ("is 1 ppm ammonia at ph 8.0 and 20C dangerous", "0.038 mg/L of it un-ionised", EMERSON),  # 0.03807
    ("is 1 ppm ammonia at ph 8.0 and 24C dangerous", "0.050 mg/L of it un-ionised", EMERSON),  # 0.05017
    ("is 1 ammonia at ph 7.8 and 26C bad", "0.037 mg/L of it un-ionised", EMERSON),  # 0.03697
    ("is 1 ammonia at ph 8.2 and 28C bad", "0.100 mg/L of it un-ionised", EMERSON),  # 0.09981
    ("is 1 ammonia at ph 7 and 30C bad", "0.008 mg/L of it un-ionised", EMERSON),  # 0.00796
    ("is 1 ammonia at ph 8.4 and 30C bad", "0.168 mg/L of it un-ionised", EMERSON),  # 0.16782
    ("is 1 ammonia at ph 8 and 10C bad", "0.018 mg/L of it un-ionised", EMERSON),  # 0.01822
    ("is 1 ammonia at ph 8 and 25C bad", "0.054 mg/L of it un-ionised", EMERSON),  # 0.05366
    ("is 1 ppm ammonia at ph 8 and 75F bad", "0.050 mg/L of it un-ionised", "UF/IFAS FA031, worked example"),
    ("1 ppm NH4-N in NH4", "1.29 mg/L", "IUPAC atomic weights"),
    ("1 mg/l no2-n in no2", "3.28 mg/L", "IUPAC atomic weights"),
    ("1 mg/l nitrate-n in nitrate", "4.43 mg/L", "IUPAC atomic weights"),
    ("how much oxygen does water hold at 20C", "9.09 mg/L", OXYGEN),
    ("how much oxygen does water hold at 22C", "8.74 mg/L", OXYGEN),
    ("oxygen saturation at 25C", "8.26 mg/L", OXYGEN),
    ("oxygen saturation at 26C", "8.11 mg/L", OXYGEN),
    ("how much oxygen at 30 C", "7.56 mg/L", OXYGEN),
    ("how many drops in a ml", "20 drops (18–22)", "NCI Thesaurus C69442: 20 drops to the mL"),
    (
        "how much methylene blue for 10 gallons from a 2.303% stock at 3 mg/L",
        "4.93 mL",
        "arithmetic: 3 mg/L × 37.854 L / 23.03 mg/mL",
    ),
    ("how much salt for 10 gallons at 3 g/l", "113.6 g", "3 g/L × 37.854 L"),
    ("what do 4 25% changes leave", "31.6 %", MASS),
    ("if I run one tank volume through how much is replaced", "63.2 %", MASS),
    ("how many tank volumes to flush 99.9%", "6.91", MASS),
    ("where does nitrate settle with 25% weekly and 7 a week", "28 mg/L", MASS),
    ("if it goes up 5 a week with 20% changes and tap at 10 where does it settle", "35 mg/L", MASS),
    ("how many litres is a gallon", "3.79 litres", NIST),
    ("how many litres is an imperial gallon", "4.55 litres", "NIST Handbook 44 App. C / UK Weights and Measures Act"),
    ("how many ml in a cup", "236.6 ml", NIST),
    ("how many ml in a teaspoon", "4.93 ml", NIST),
    ("how many ml is 1 fl oz", "29.6 ml", NIST),
    ("convert 78 f to c", "25.6 °C", "definition"),
    ("convert 75.2 f to c", "24 °C", "definition"),
    ("1 dkh in mg/l caco3", "17.8", "10 mg/L CaO to the German degree; molar masses"),
    ("8 dgh in ppm", "142.8", "10 mg/L CaO to the German degree; molar masses"),
    ("1 french degree in ppm", "10 ppm", "a French degree is not a German one"),
    ("how many gallons in a cubic foot", "7.48", NIST),
    ("how many gallons is a 16x8x10 tank", "5.54", INCHES),
    ("how many gallons is a 20 x 10 x 12 inch tank", "10.4", INCHES),
    ("how many gallons is 24x12x16", "19.9", INCHES),
    ("how many gallons is a 30x12x18 tank", "28.1", INCHES),
    ("how many gallons is a 36x18x16 tank", "44.9", INCHES),
    ("48x13x21 how many gallons", "56.7", INCHES),
    (
        "what is the hatch rate for 81 of 263 eggs",
        "31 % (26–37 %, 95 %)",
        "Newcombe 1998, Stat. Med. 17:857: 0.2553 to 0.3662",
    ),
    ("what hatch rate is 0 of 20", "0 % (0–16 %, 95 %)", "Newcombe 1998, Stat. Med. 17:857: 0 to 0.1611"),
    ("what hatch rate is 9 of 12", "75 % (47–91 %, 95 %)", "Newcombe 1998, Stat. Med. 17:857: 0.4677 to 0.9111"),
    ("what hatch rate is 48 of 50", "96 % (87–99 %, 95 %)", "Newcombe 1998, Stat. Med. 17:857: 0.8654 to 0.9890"),
    ("how many mg/l is 3% peroxide", "30 000 mg/L", "3 g in 100 mL"),
    ("is 35% peroxide ok for eggs", "No dose for peroxide", "by weight, and corrosive: no figure is given"),
]


@pytest.mark.parametrize(("text", "part", "source"), ASKED, ids=[a[0] for a in ASKED])
def test_a_published_figure_is_answered_by_chat(room: Room, text: str, part: str, source: str) -> None:
    reply = room.say(text)
    assert source
    assert reply.outcome == "answer"
    assert part in reply.text
    assert not reply.events
