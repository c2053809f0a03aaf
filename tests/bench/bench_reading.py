"""One note read, beside the date search of dateparser on the same note and an Earley parse of a small grammar by lark.

Run: python -m tests.bench.bench_reading [--rounds 5]
Both sides run in turn in one process on the labelled notes of the invented Millrace room; the ratios are of medians a
note. The grammar knows fifteen shapes of plain notes and nothing else: it shows what a general parser costs. With
adapt-parser installed, what a general intent parser gets right on the same labelled notes is counted too.
"""

from __future__ import annotations

import argparse
import datetime as dt
import statistics
import time
import warnings
from collections.abc import Callable
from typing import Any

from bot.language import Names, Reader
from shared.room import RoomCard
from tests.language.judging import card_of, notes_of, tally

# Fifteen rules, one a shape of note, the place before or after as people write it; clauses are parted by commas only.
GRAMMAR = r"""
start: clause ("," clause)*
clause: pull | change | dead | temp | hatch | bad | fed | dosed | moved | sold | tally | culture | water | eyed | topped
pull: (PULLED the? "mop"? of? place? (","|":")? NUMBER EGGS?) | (place (","|":")? NUMBER EGGS)
change: (NUMBER "%")? CHANGE of? place* | place+ (NUMBER "%")? CHANGE | NUMBER "%" of? place+
dead: NUMBER DEAD of? place | place (","|":")? NUMBER DEAD
temp: place TEMP? NUMBER UNIT? | TEMP of? place NUMBER UNIT?
hatch: NUMBER FRY? HATCHED of? place | place (","|":")? NUMBER FRY? HATCHED
bad: NUMBER BAD EGGS? of? place | place (","|":")? NUMBER BAD EGGS?
fed: FED place* FOOD? | FED FOOD of? place*
dosed: NUMBER "drops"? DRUG? of? place | place (","|":")? NUMBER "drops" DRUG?
moved: MOVED NUMBER FRY? of? place of? place | place of? place NUMBER FRY?
sold: SOLD NUMBER FRY? of? place? (of? "$" NUMBER)?
tally: COUNTED? place NUMBER FRY? | COUNTED NUMBER FRY? of? place
culture: DONE the? CULTURE "culture"?
water: place TEST NUMBER | TEST of? place NUMBER
eyed: NUMBER EGGS? EYED of? place | place (","|":")? NUMBER EYED
topped: TOPPED of? place NUMBER? UNIT? | place TOPPED NUMBER? UNIT?
place: "tank" NUMBER | "tub" LETTER | "t" NUMBER | LETTER
of: "in" | "of" | "on" | "out" "of" | "from" | "to" | "into" | "for" | "off"
the: "the" | "a" | "new" | "a" "new"
PULLED: "pulled" | "picked" | "got"
EGGS: "eggs" | "egg"
CHANGE: "wc" | "water change" | "changed"
DEAD: "dead" | "lost" | "died"
TEMP: "temp" | "temperature"
HATCHED: "hatched" | "out"
EYED: "eyed" | "with eyes"
BAD: "fungused" | "bad" | "fuzzy"
FED: "fed" | "feed"
FRY: "fry" | "fish" | "juveniles"
FOOD: "bbs" | "flake" | "microworms"
DRUG: "peroxide" | "salt"
MOVED: "moved" | "put"
SOLD: "sold"
COUNTED: "headcount" | "counted"
DONE: "started" | "fed" | "split"
CULTURE: "microworm" | "vinegar eel"
TEST: "ammonia" | "nitrite" | "nitrate" | "ph"
TOPPED: "topped"
UNIT: "gallons" | "litres" | "f" | "c"
LETTER: /[A-G]\b/
NUMBER: /\d+(\.\d+)?/
%ignore /\s+/
"""
PLAIN = [
    "pulled mop tank 3, 40 eggs",
    "25% water change on tank 7",
    "2 dead in tank 13",
    "tank 5 temp 76",
    "12 hatched in tub A",
    "3 fungused eggs out of tub B",
    "fed tank 15 bbs",
    "4 drops peroxide in tub C",
    "moved 20 fry from tub E to tank 12",
    "sold 6 from tank 14 for $30",
    "headcount tank 15 48",
    "started a new microworm culture",
    "tank 13 ammonia 0.5",
    "30 eyed in tub A",
    "topped off tank 7 2 gallons",
]
# What a general intent parser is told: for each kind of event, words one of which must be there.
KEYWORDS = {
    "pull": "pulled pull picked collected pulld",
    "water_change": "wc|water change|changed water|fresh water",
    "death": "dead died lost found",
    "hatch": "hatched hatch fry",
    "bad_eggs": "fungused fuzzy fungus white duds bad",
    "feed": "fed feed fd",
    "dose": "drops peroxide dosed",
    "move": "moved move",
    "sale": "sold",
    "headcount": "headcount counted count",
    "culture": "culture started harvested restarted",
    "measure": "temp temperature ph ammonia nitrite nitrate",
    "eyed": "eyed eyes",
    "remind": "remind",
    "reserve": "hold promised wants reserve",
    "undo": "undo scratch",
    "peat": "peat",
}


def each_ms(work: Callable[[str], object], texts: list[str]) -> list[float]:
    out = []
    for text in texts:
        began = time.perf_counter()
        work(text)
        out.append(1000 * (time.perf_counter() - began))
    return out


def intents(card: RoomCard) -> Callable[[str], dict[str, Any]]:
    """A general intent parser of the registry, told the room's places and a keyword list for each kind.

    Its own tests and documents give the form: an entity list, a regex for numbers, one intent a kind.
    """
    from adapt.engine import IntentDeterminationEngine  # type: ignore[import-untyped,import-not-found,unused-ignore]
    from adapt.intent import IntentBuilder  # type: ignore[import-untyped,import-not-found,unused-ignore]

    engine = IntentDeterminationEngine()
    for place in card.places:
        engine.register_entity(place.name.casefold(), "Place")
    engine.register_regex_entity(r"(?P<Count>\d+)")
    for kind, words in KEYWORDS.items():
        for word in words.split("|") if "|" in words else words.split():
            engine.register_entity(word, f"Word{kind}")
        engine.register_intent_parser(
            IntentBuilder(kind).require(f"Word{kind}").optionally("Place").optionally("Count").build()
        )

    def understood(text: str) -> dict[str, Any]:
        return next(iter(engine.determine_intent(text.casefold())), {})

    return understood


def by_intents(notes: list[dict[str, Any]], card: RoomCard) -> tuple[int, int, int]:
    """Of the notes that say one event: how many there are, whose kind is right, and whose place and count are too."""
    understood = intents(card)
    total = kinds = whole = 0
    for note in notes:
        wants = note["want"] if isinstance(note["want"], list) else [note["want"]]
        single = [w["events"][0] for w in wants if w["outcome"] == "log" and len(w["events"]) == 1]
        if not single:
            continue
        total += 1
        heard = understood(str(note["text"]))
        right = [e for e in single if e["kind"] == heard.get("intent_type")]
        kinds += bool(right)
        whole += any(
            str(e.get("count", "")) == str(heard.get("Count", ""))
            and (e.get("place") or (e.get("places") or [""])[0]).casefold() == str(heard.get("Place", ""))
            for e in right
        )
    return total, kinds, whole


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    rounds = parser.parse_args().rounds
    notes = notes_of("millrace.jsonl")
    texts = [str(n["text"]) for n in notes]
    sent = dt.datetime.fromisoformat("2026-03-09T18:30")
    card = card_of("millrace.json")
    names = Names.of(card)
    reader = Reader(names)

    from dateparser.search import search_dates
    from lark import Lark

    warnings.simplefilter("ignore")
    settings = {"RELATIVE_BASE": sent}

    def search(text: str) -> object:
        return search_dates(text, languages=["en"], settings=settings)

    earley = Lark(GRAMMAR, parser="earley")
    for text in texts[:20]:
        reader.read(text, sent)
        search(text)
    ours: list[float] = []
    theirs: list[float] = []
    small: list[float] = []
    parsed: list[float] = []
    for _ in range(rounds):
        ours += each_ms(lambda t: reader.read(t, sent), texts)
        theirs += each_ms(search, texts[:60])
        small += each_ms(lambda t: reader.read(t, sent), PLAIN)
        parsed += each_ms(earley.parse, PLAIN)
    p99 = statistics.quantiles(ours, n=100)[98]
    median = statistics.median(ours)
    print(f"one note read: median {median:.2f} ms, p99 {p99:.2f} ms over {len(texts)} notes, {rounds} rounds")
    sixty = statistics.median(each_ms(lambda t: reader.read(t, sent), texts[:60]))
    searched = statistics.median(theirs)
    print(f"read / dateparser search_dates on the same notes: {sixty / searched:.2f}")
    ratio = statistics.median(small) / statistics.median(parsed)
    print(f"read / lark Earley parse, fifteen rules, on {len(PLAIN)} plain notes: {ratio:.2f}")
    try:
        total, kinds, whole = by_intents(notes, card)
    except ImportError:
        print("a general intent parser: not installed (pip install adapt-parser)")
    else:
        single = [n for n in notes if any(w["outcome"] == "log" and len(w["events"]) == 1 for w in n["want"])]
        ours_right = tally(single, card)[0]["exact"]
        print(
            f"notes of one event: {total}; a general intent parser has the kind right in {kinds}, place and count too "
            f"in {whole}; the reader all of it in {ours_right}"
        )
    began = time.perf_counter()
    for _ in range(100):
        Names.of(card_of("millrace.json")).line_words  # noqa: B018
    print(f"names rebuilt from a card: {10 * (time.perf_counter() - began):.2f} ms")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
