"""Ways of saying the facts of eggs and fish: each with what is logged; none where a keeper must be asked."""

# ruff: noqa: E501  (tables are read as tables)

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from bot.language import Names, Reader
from tests.language.judging import card_of

READER = Reader(Names.of(card_of("millrace.json")))
SENT = dt.datetime.fromisoformat("2026-03-10T20:20")  # a Tuesday


def told(text: str) -> list[str]:
    """What a note logs, an event a line: its kind and what it holds."""
    reading = READER.read(text, SENT)
    events: list[dict[str, Any]] = [e.outside() for e in reading.events]
    return [
        " ".join([e["kind"], *(f"{k}={str(v).removesuffix('.0')}" for k, v in e.items() if k not in ("kind", "text"))])
        for e in events
    ]


TOLD = [
    # eggs
    ("gul mop 8 D", ["pull place=tank 1 count=8 line=blue gularis to=tub D"]),
    ("B: +14 from t2", ["pull place=tank 2 count=14 to=tub B"]),
    ("t2 12 t3 27 both tub b", ["pull place=tank 2 count=12 to=tub B", "pull place=tank 3 count=27 to=tub B"]),
    ("put back mops 1 2 3", ["mop place=tank 1", "mop place=tank 2", "mop place=tank 3"]),
    ("mop returned to 8", ["mop place=tank 8"]),
    ("A/B/C bad 2/0/1", ["bad_eggs place=tub A count=2", "bad_eggs place=tub B count=0", "bad_eggs place=tub C count=1"]),
    ("20/52 eyed B", ["eyed place=tub B count=20"]),
    ("eggs C to D", ["move from=tub C to=tub D"]),
    ("tank seven gave thirty one", ["pull place=tank 7 count=31"]),
    ("put fourteen more in tub B from tank 3", ["pull place=tank 3 count=14 to=tub B"]),
    ("nothing off 5", ["pull place=tank 5 count=0"]),
    ("three of the eight eggs from tank 8 were duds", ["pull place=tank 8 count=8", "bad_eggs place=tank 8 count=3"]),
    ("b21 lost 2 more", ["bad_eggs batch=B21 count=2"]),
    ("there are 22 eggs in tub C", ["headcount place=tub C count=22"]),
    ("b23 in w b22", ["move from=tub C to=tub B batch=B23"]),
    ("dropped 2nd mop in 9", ["mop place=tank 9"]),
    ("t7 30 > D", ["pull place=tank 7 count=30 to=tub D"]),
    ("D: 12 from t9", ["pull place=tank 9 count=12 to=tub D"]),
    ("B21 +3 t1", ["pull place=tank 1 count=3 to=tub A"]),
    ("mop 4/8: 6/11", ["pull place=tank 4 count=6", "pull place=tank 8 count=11"]),
    ("mops 1,2,3 9 14 22", ["pull place=tank 1 count=9", "pull place=tank 2 count=14", "pull place=tank 3 count=22"]),
    ("C -2 fungused", ["bad_eggs place=tub C count=2"]),
    ("sat 4 bad, mon 2 bad, B", ["bad_eggs date=2026-03-07 place=tub B count=4", "bad_eggs date=2026-03-09 place=tub B count=2"]),
    ("Tank 2 coughed up 24 of the little jewels", ["pull place=tank 2 count=24"]),
    ("Not one single egg in tank 8 again, the forktails are on strike", ["pull place=tank 8 count=0"]),
    ("a couple of duds out of the gularis tub", ["bad_eggs place=tub A count=2"]),
    ("2 white eggs from the gardneri tub", ["bad_eggs place=tub B count=2"]),
    ("Only one fluffy egg in the gularis tub, out it went", ["bad_eggs place=tub A count=1"]),
    ("ten of the eggs in tub bee I put in tub dee", ["move from=tub B to=tub D count=10"]),
    ("put fifteen gardneri eggs from tank three in with the ones in tub bee", ["pull place=tank 3 count=15 line=gardneri to=tub B"]),
    ("Forgot to write down Saturday's pull, 27 out of 3 into B", ["pull date=2026-03-07 place=tank 3 count=27 to=tub B"]),
    ("sun eve 19 eggs off the glass in 10, in tub D. mon eve another 7, same tub", ["pull date=2026-03-08 place=tank 10 count=19 to=tub D", "pull date=2026-03-09 place=tank 10 count=7 to=tub D"]),
    ("tub A and tub D eggs together in A now", ["move from=tub D to=tub A"]),
    ("page 1: A 3 bad\npage 2: B 2 bad", ["bad_eggs place=tub A count=3", "bad_eggs place=tub B count=2"]),
    ("B22: eyed up by sunday, first two hatched monday", ["eyed date=2026-03-08 batch=B22", "hatch date=2026-03-09 batch=B22 count=2"]),
    ("Removed three white eggs from tub C, which leaves twenty-one.", ["bad_eggs place=tub C count=3", "headcount place=tub C count=21"]),
    ("three from tub A went white, one monday, two today", ["bad_eggs date=2026-03-09 place=tub A count=1", "bad_eggs place=tub A count=2"]),
    ("mop 2 14 (mon)\nmop 3 22 (mon), 3 bad", ["pull date=2026-03-09 place=tank 2 count=14", "pull date=2026-03-09 place=tank 3 count=22", "bad_eggs date=2026-03-09 place=tank 3 count=3"]),
    ("last night's mops: 2 14, 3 9", ["pull date=2026-03-09 place=tank 2 count=14", "pull date=2026-03-09 place=tank 3 count=9"]),
    ("f n g tubs water changed", ["water_change places=['tub F', 'tub G']"]),
    ("tank 3 dropped 12", ["pull place=tank 3 count=12"]),
    # fry
    ("tub C has babies", ["hatch place=tub C"]),
    ("two more free swimming in tub B", ["hatch place=tub B count=2"]),
    ("B21 hatching!! 3 out so far", ["hatch batch=B21 count=3"]),
    ("4 came out in tub C overnight", ["hatch place=tub C count=4"]),
    ("EEEE the first little gardneri is out and zooming round tub B!!", ["hatch place=tub B count=1"]),
    ("Woke up to 14 bouncing babies in tub A", ["hatch place=tub A count=14"]),
    ("first lamp I fry is out just the one", ["hatch place=tub C count=1 line=lampeye"]),
    ("two medaka fry swimming round tank 9", ["hatch place=tank 9 count=2"]),
    ("put the five new fry from tub a in tub f", ["move from=tub A to=tub F count=5"]),
    ("took ten of the young gardneri out of thirteen and put them in sixteen", ["move from=tank 13 to=tank 16 count=10 line=gardneri"]),
    ("After counting twice I have 30 fry in tub E.", ["headcount place=tub E count=30"]),
    ("sun 3 hatched, mon 6 hatched, tub C", ["hatch date=2026-03-08 place=tub C count=3", "hatch date=2026-03-09 place=tub C count=6"]),
    ("fry in A!", ["hatch place=tub A"]),
    ("The fry in tub E now live in tank 12.", ["move from=tub E to=tank 12 batch=B19"]),
    ("The fry from tub F were added to those in tub E.", ["move from=tub F to=tub E"]),
    ("B21 +7 fry", ["hatch batch=B21 count=7"]),
    ("4 swimmers B", ["hatch place=tub B count=4"]),
    ("B 9 htchd, F", ["hatch place=tub B count=9", "move from=tub B to=tub F count=9"]),
    ("4 eggs hatched out of 24 in C", ["hatch place=tub C count=4"]),
    ("fry in tub E to tank 12", ["move from=tub E to=tank 12 batch=B19"]),
    # fish
    ("14 has 21 left", ["headcount place=tank 14 count=21"]),
    ("5 juvies from 13 are now in 16", ["move from=tank 13 to=tank 16 count=5"]),
    ("sent the B19s to tank 12", ["move from=tub E to=tank 12 batch=B19"]),
    ("put 12 fry in 12, they were the ones in E", ["move from=tub E to=tank 12 count=12 stage=fry"]),
    ("The two medaka from tank 15 have joined the others in tank 9.", ["move from=tank 15 to=tank 9 count=2 line=medaka"]),
    ("since sunday i lost 1 a day in 11, so 4", ["death place=tank 11 count=4"]),
    ("Counts as of tonight:\ntank 13 - 81\nE - 29\n11 - too many to count", ["headcount place=tank 13 count=81", "headcount place=tub E count=29"]),
    ("the old boesemani male went belly up, he was four", ["death place=tank 7 count=1 line=boesemani sex=male"]),
    ("caught 4 males in 13 and moved them to 16", ["move from=tank 13 to=tank 16 count=4 male=4"]),
    ("I put one gularis male from tank 14 back into tank 1.", ["move from=tank 14 to=tank 1 count=1 male=1 line=blue gularis"]),
    ("18 of 22 in tank 14 survived", ["headcount place=tank 14 count=18"]),
    ("B11 turned out to be 12 males and 10 females.", ["headcount batch=B11 count=22 male=12 female=10"]),
    ("Gender reveal in tank 14! 8 boys, 14 girls", ["headcount place=tank 14 count=22 male=8 female=14"]),
    ("I divided tub E in two, 15 of them are in tub F now", ["move from=tub E to=tub F count=15"]),
    ("split the gardneri in thirteen forty stayed and the other forty four went to sixteen", ["move from=tank 13 to=tank 16 count=44"]),
    ("13: lost 1\n14: all good\nE ok", ["death place=tank 13 count=1"]),
    ("b11 = 21", ["headcount batch=B11 count=21"]),
    ("b19 to 12", ["move from=tub E to=tank 12 batch=B19"]),
    ("fry E > t12, 28", ["move from=tub E to=tank 12 count=28 batch=B19"]),
    ("t5 1 dead temp 82", ["death place=tank 5 count=1", "measure place=tank 5 quantity=temperature value=27.8"]),
    ("dead gularis, male, tank 1", ["death place=tank 1 count=1 line=blue gularis sex=male"]),
    ("a male and a female died in 13", ["death place=tank 13 count=1 sex=male", "death place=tank 13 count=1 sex=female"]),
    ("found the female and the male dead in 13", ["death place=tank 13 count=1 sex=male", "death place=tank 13 count=1 sex=female"]),
    ("another died in 5 and in 11", []),
    ("13/14/11 ct 80/21/55", ["headcount place=tank 13 count=80", "headcount place=tank 14 count=21", "headcount place=tank 11 count=55"]),
    ("26 in E now", ["headcount place=tub E count=26"]),
    ("mv 6 f 13->16", ["move from=tank 13 to=tank 16 count=6 female=6 batch=B14"]),
    ("t2 m to 15", ["move from=tank 2 to=tank 15 count=1 male=1"]),
    ("2pr gard 13>16", ["move from=tank 13 to=tank 16 count=4 male=2 female=2 line=gardneri"]),
    ("splited b14 ,30 to 16", ["move from=tank 13 to=tank 16 count=30 batch=B14"]),
    ("moovd 12 frm 13 too 16", ["move from=tank 13 to=tank 16 count=12 batch=B14"]),
    ("b11 sexed 9m 13f", ["headcount batch=B11 count=22 male=9 female=13"]),
    ("13: 40 m 41 f", ["headcount place=tank 13 count=81 male=40 female=41"]),
    ("b14 avg 1in", ["measure batch=B14 quantity=length value=25.4"]),
    ("b14 2,4 cm", ["measure batch=B14 quantity=length value=24"]),
    ("14 lost one overnight", ["death place=tank 14 count=1"]),
    ("tank 9 down one female", ["death place=tank 9 count=1 sex=female"]),
    ("had to euthanise a female in tank 7", ["death place=tank 7 count=1 sex=female"]),
    ("a jumper from tank 5", ["death place=tank 5 count=1 cause=jumper"]),
    ("dead: 1 in 2, 1 in 3, 2 in 13", ["death place=tank 2 count=1", "death place=tank 3 count=1", "death place=tank 13 count=2"]),
    ("femal furzri died t6", ["death place=tank 6 count=1 line=furzeri sex=female"]),
    ("The runt of B17 finally gave up, poor mite", ["death batch=B17 count=1"]),
    ("B17 is in tank 12 now", ["move from=tank 11 to=tank 12 batch=B17"]),
    ("isolated a male from tank 9 in 15", ["move from=tank 9 to=tank 15 count=1 male=1"]),
    ("tank 16 got 12 from 13", ["move from=tank 13 to=tank 16 count=12"]),
    ("B14 stands at 78", ["headcount batch=B14 count=78"]),
    ("9 of B11 are male and 13 female", ["headcount batch=B11 count=22 male=9 female=13"]),
    ("The B17 babies are half an inch already", ["measure batch=B17 quantity=length value=12.7"]),
    # coming, going, promised
    ("6 clown in t15 from Max", ["stock_in place=tank 15 line=clown killi count=6 source=Max"]),
    ("6 b14 sold 24", ["sale count=6 batch=B14 price=24"]),
    ("sold 2 fr 13 to Ana $8", ["sale count=2 line=gardneri place=tank 13 price=8 buyer=Ana"]),
    ("auction night\n3 pr gard $24\n2 gul $10", ["sale count=6 line=gardneri price=24", "sale count=2 line=blue gularis price=10"]),
    ("sun Dale 3 b11 $15, Kim 2 b14 $6", ["sale date=2026-03-08 count=3 batch=B11 price=15 buyer=Dale", "sale date=2026-03-08 count=2 batch=B14 price=6 buyer=Kim"]),
    ("3 B14 > Dale free", ["sale count=3 batch=B14 price=0 buyer=Dale"]),
    ("rsv 4 gard Mina fri", ["reserve date=2026-03-13 count=4 line=gardneri buyer=Mina"]),
    ("traded a heater for 2 lampeye, now in tank 15", ["stock_in place=tank 15 line=lampeye count=2"]),
    ("tub K up 1 pt eggs", ["new_place place=tub K litres=0.5 role=eggs"]),
    ("Tom can't take the gularis", ["release buyer=Tom line=blue gularis"]),
    ("Priya's put her name down for 8 of the B14 youngsters, she'll fetch them on Sunday", ["reserve date=2026-03-15 count=8 line=gardneri batch=B14 buyer=Priya"]),
    ("actually make it two pairs", ["fix count=4"]),
    ("+6 panda t15", ["stock_in place=tank 15 line=panda cory count=6"]),
    ("in: 1 m gul t1", ["stock_in place=tank 1 line=blue gularis count=1 male=1"]),
    ("bought 1.2 lampeye t15", ["stock_in place=tank 15 line=lampeye count=3 male=1 female=2"]),
    ("Priya brought 3 lampeye for 15", ["stock_in place=tank 15 line=lampeye count=3 source=Priya"]),
    ("sold at auction: 6 gardneri from 13, $21", ["sale count=6 line=gardneri place=tank 13 price=21"]),
    ("keep 2 medka for mina untl friday", ["reserve date=2026-03-13 count=2 line=medaka buyer=Mina"]),
    ("tom no longer wants gul", ["release buyer=Tom line=blue gularis"]),
    ("Lena cxl", ["release buyer=Lena"]),
    ("half price on the B14s, 4 went for 8", ["sale count=4 batch=B14 price=8"]),
    ("rehomed a spare medaka male, for nothing", ["sale count=1 male=1 line=medaka price=0"]),
    ("Dale's 3 gularis were collected this morning, he paid $24", ["sale count=3 line=blue gularis price=24 buyer=Dale"]),
    ("8 new clowns in 4, cost me $20", ["stock_in place=tank 4 line=clown killi count=8 price=20"]),
    ("Ivo caught a new female medaka at the pond and put her in tank 9.", ["stock_in place=tank 9 line=medaka count=1 female=1 source=pond"]),
    ("I said Mina could have six panda quarries", ["reserve count=6 line=panda cory buyer=Mina"]),
    ("I have set aside ten B14 juveniles for the club.", ["reserve count=10 line=gardneri batch=B14 buyer=club"]),
    ("Kim came by and picked up her pair of boesemani from tank seven fifty dollars cash", ["sale count=2 line=boesemani place=tank 7 price=50 buyer=Kim"]),
    ("took tub G out of service", ["close_place place=tub G"]),
    # peat
    ("poured cool water on the bag of furzeri eggs got forty fry", ["peat batch=B20 action=wet", "hatch batch=B20 count=40"]),
    ("B20 is in its tray with cold rainwater", ["peat batch=B20 action=wet"]),
    ("pulled the peat and bagged it tank six wet it in twelve weeks", ["peat place=tank 6 action=bag weeks=12"]),
    ("The peat was dried and put back in its bag.", ["peat batch=B20 action=bag"]),
    ("b20 wet, 25 out", ["peat batch=B20 action=wet", "hatch batch=B20 count=25"]),
    ("B20 back in the bag for 4 weeks", ["peat batch=B20 action=bag weeks=4"]),
    ("B20's been soaking since noon", ["peat time=12:00 batch=B20 action=wet"]),
    ("peat t6 out", ["peat place=tank 6 action=collect"]),
    ("bag furz 10wk", ["peat line=furzeri action=bag weeks=10"]),
    ("wetting of B20: 30 swimmers, 6 sliders", ["peat batch=B20 action=wet", "hatch batch=B20 count=36"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "events"), TOLD, ids=[t for t, _ in TOLD])
def test_what_is_told_is_logged(text: str, events: list[str]) -> None:
    assert told(text) == events


UNSURE = [
    "4 hatched A and B wow",
    "4 died in E and F overnight",
    "the B17 crew have taken to life in tank 12 beside B19",  # named with two places: moved?
    "mop in 4 looks ratty",
    "lost count at 60 in 13",
    "eyes on B all week, nothing moving",
    "took 3 out of 13",  # and put them where?
    "Lena bought six cories, same ones as mine",
    "6 from 3 to G",  # eggs pulled, or fish?
    "3 new mops t5",  # three of them, not tank 3
    "B20 wetting on saturday",
    "b22 3mm",  # eggs have no such length
    "tank 14 2 inches down",
    "52/20 eyed B",
    "1.2 gard t15",
    "sold 2 pr gul $12 each Lena",  # each fish, or each pair?
    "t14 22 t13 84 both tank 16",
    "fish cxl",
    "all the eggs in C hatched overnight!!! april fool",
    "20 dead in 13. just kidding",
    "lost 2 a day in 13 this week",
    "scratch the tank 4 one, that was tank 5",
    "13 - 80\n14 - 21",
    "ordered 4 clowns from Max",  # still to come
    "when C hatches I'll move them to F",
    "one of mine died at Kim's house",
    "there must be 50 eggs in the mop in 7 but I haven't pulled it",
    "took the mop out of 3 for a rest",
    "b11 to 16",  # into the tank, or down to so few?
    "fry F to 12",  # none are there
    "4 gul Tom free",
]


@pytest.mark.parametrize("text", UNSURE)
def test_what_could_be_otherwise_is_not_logged(text: str) -> None:
    assert [line for line in told(text) if not line.startswith("remark")] == []


def test_who_waits_for_fish_bought_none() -> None:
    sale, kept = (e.outside() for e in READER.read("sold 4 gardneri, kept 2 for Tom", SENT).events)
    assert "buyer" not in sale and kept["buyer"] == "Tom"
