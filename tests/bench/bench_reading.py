"""One note read, beside the date search of dateparser on the same note and an Earley parse of a small grammar by lark.

Run: python -m tests.bench.bench_reading [--rounds 5]
Both sides run in turn in one process on the labelled notes of the invented Millrace room; the ratios are of medians a
note. The grammar of the comparison knows four kinds of note only: it shows the order of size.
"""

from __future__ import annotations

import argparse
import datetime as dt
import statistics
import time
import warnings
from collections.abc import Callable

from bot.language import Names, Reader
from tests.language.judging import card_of, notes_of

GRAMMAR = r"""
start: clause ("," clause)*
clause: pull | change | dead | temp
pull: PULL? MOP? place? count EGGS | PULL MOP? place ("," count EGGS)?
change: percent? WC place+ | place WC percent?
dead: count DEAD INTO? place
temp: place TEMP? number | TEMP place number
place: TANK NUMBER | TUB LETTER | SHORT
count: NUMBER
percent: NUMBER "%"
number: NUMBER
PULL: "pulled"i | "picked"i
MOP: "the mop"i | "mop"i | "mops"i
EGGS: "eggs"i | "egg"i
WC: "wc"i | "water change"i | "water change on"i
DEAD: "dead"i
INTO: "in"i
TEMP: "temp"i | "temperature"i
TANK: "tank"i
TUB: "tub"i
SHORT: /t\d+/i
LETTER: /[A-Ga-g]\b/
NUMBER: /\d+(\.\d+)?/
%ignore /\s+/
"""
FEW = ["pulled mop tank 3, 40 eggs", "25% water change on tank 7", "2 dead in tank 13", "tank 5 temp 76", "wc t3"]


def each_ms(work: Callable[[str], object], texts: list[str]) -> list[float]:
    out = []
    for text in texts:
        began = time.perf_counter()
        work(text)
        out.append(1000 * (time.perf_counter() - began))
    return out


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rounds", type=int, default=5)
    rounds = parser.parse_args().rounds
    notes = notes_of("millrace.jsonl")
    texts = [str(n["text"]) for n in notes]
    sent = dt.datetime.fromisoformat("2026-03-09T18:30")
    names = Names.of(card_of("millrace.json"))
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
        small += each_ms(lambda t: reader.read(t, sent), FEW)
        parsed += each_ms(earley.parse, FEW)
    p99 = statistics.quantiles(ours, n=100)[98]
    median = statistics.median(ours)
    print(f"one note read: median {median:.2f} ms, p99 {p99:.2f} ms over {len(texts)} notes, {rounds} rounds")
    sixty = statistics.median(each_ms(lambda t: reader.read(t, sent), texts[:60]))
    searched = statistics.median(theirs)
    print(f"read / dateparser search_dates on the same notes: {sixty / searched:.2f}")
    ratio = statistics.median(small) / statistics.median(parsed)
    print(f"read / lark Earley parse on {len(FEW)} plain notes: {ratio:.2f}")
    began = time.perf_counter()
    for _ in range(100):
        Names.of(card_of("millrace.json")).line_words  # noqa: B018
    print(f"names rebuilt from a card: {10 * (time.perf_counter() - began):.2f} ms")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
