"""Long notes with known readings: facts that are each read right alone, joined with each other and with talk.

`python -m tests.language.joined` prints how they are read. What a whole note means is what its parts mean together,
so joins are made only where that is beyond doubt: each fact names where it was, no two facts share a place, and none
stands under words of another sentence ("tomorrow I'll …, and").
"""

from __future__ import annotations

import argparse
import datetime as dt
import hashlib
import itertools
import random
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from bot.language import Names, Reader
from tests.language.judging import DATA, Raw, Room, best, card_of, notes_of

SENT = dt.datetime.fromisoformat("2026-03-09T18:30")
FILES = ("millrace", "more", "more2", "more3_lists", "more3_spoken", "more3_stories", "more4_stories", "more5_stories",
         "fresh")  # fmt: skip
KINDS = frozenset(
    {"pull", "mop", "bad_eggs", "eyed", "hatch", "move", "death", "headcount", "water_change", "top_off", "dose",
     "feed", "measure", "stock_in", "sale", "reserve", "release", "culture", "service", "peat", "new_place",
     "close_place"}
)  # fmt: skip
PLACELESS = frozenset({"stock_in", "sale", "reserve", "release", "culture", "peat"})
# Words that lean on what was said before, put it right, or give it a day.
_LEANING = re.compile(
    r"\b(it|its|it's|they|them|that|that's|those|these|this|there|here|he|she|him|her|same|too|again|rest|others?"
    r"|another|more|also|both|still|wait|no|not|actually|sorry|scratch|undo|now|else|ditto|left|so|then|yesterday"
    r"|tonight|last|ago|morning|noon|evening|night|later|earlier|before|after|when|since|until|till|remind|(mon|tues?"
    r"|wed(nes)?|thu(rs)?|fri|sat(ur)?|sun)(day)?|today|total|but|if|because|while|except|everyone|everything|hey|ok"
    r"|together|(two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fourteen|fifteen|seventeen|twenty|thirty)"
    r"(-\w+)?|for teen|tank (for|ate|won|sicks|be))\b|\?"
    r"|\bat \d|\d,\d"
)
# Talk under whose words a clause joined on without a full stop might fall.
HOLDING = frozenset({"plan", "quote", "past", "neighbour", "phone", "visitors", "shop", "thoughts", "tv", "nothing"})
FULL: tuple[str, ...] = (
    ". ",
    "! ",
    "\n",
    ". Anyway, ",
    ". Oh and ",
    ". Also ",
    ". So yeah, ",
    ". After that ",
    ". Then ",
    "... ",
)
LOOSE: tuple[str, ...] = (", ", " and ", " then ", ", and then ", ", oh and ", ", also ", ", plus ", " - ", "; ")


SUBJECTS = frozenset({"i", "i'm", "i've", "we", "my", "the", "our", "it's", "there's", "there"})


@dataclass(frozen=True)
class Fact:
    """A clause that tells something, and the fair readings of it."""

    text: str
    wants: tuple[tuple[Raw, ...], ...]
    spots: frozenset[str]
    opens: bool  # begins with what was done, so that it may follow without a sign between


@dataclass(frozen=True)
class Joined:
    """A note of several parts."""

    text: str
    wants: list[Raw]
    joins: tuple[str, ...]
    topics: tuple[str, ...]
    facts: tuple[str, ...]


def kept_back(text: str) -> bool:
    """Whether a part belongs to the third that is only ever counted."""
    return int(hashlib.sha256(text.encode()).hexdigest()[:4], 16) % 3 == 0


@cache
def talk() -> tuple[tuple[str, str], ...]:
    """Sentences that log nothing, each with its topic."""
    rows = (DATA / "talk.tsv").read_text(encoding="utf-8").splitlines()
    return tuple((topic, words) for topic, words in (row.split("\t") for row in rows))


@cache
def facts() -> tuple[Fact, ...]:
    """The labelled notes of one sentence that stand on their own, undated."""
    room = Room.of(card_of("millrace.json"))
    out: dict[str, Fact] = {}
    for note in itertools.chain.from_iterable(notes_of(f"{file}.jsonl") for file in FILES):
        text = note["text"].strip().rstrip(".! ")
        wants = note["want"] if isinstance(note["want"], list) else [note["want"]]
        if not 3 <= len(text.split()) <= 16 or "\n" in text or _LEANING.search(text.lower()):
            continue
        if re.search(r"[.!;…]\s", text) or not re.match(r"[\w]", text) or any(w["outcome"] != "log" for w in wants):
            continue
        readings = tuple(tuple(w["events"]) for w in wants)
        events = [event for reading in readings for event in reading]
        if not all(e["kind"] in KINDS and not {"date", "time", "made"} & e.keys() for e in events):
            continue
        if not all(e["kind"] in PLACELESS or {"place", "places", "batch", "from"} & e.keys() for e in events):
            continue
        spots = {
            room.spot(str(spot).casefold())
            for e in events
            for key in ("place", "places", "batch", "from", "to", "culture", "buyer", "line")
            for spot in (e[key] if isinstance(e.get(key), list) else [e.get(key)])
            if spot
        }
        opens = bool(re.match(r"(?i)(i |we |just )?\w+(ed|t) |(fed|put|set|moved|sold|gave|found|took) ", text))
        out[text] = Fact(text, readings, frozenset(spots), opens)
    return tuple(out.values())


def _join(draw: random.Random, before: str, topic: str | None, after: Fact | None, words: str) -> str:
    """A way to join two parts whose meaning it leaves as it is. `topic` is that of talk before, `after` a fact next."""
    if after is not None and len(after.text.split()[0]) < 3:
        return draw.choice(FULL[:3])
    if topic in HOLDING:
        return draw.choice(FULL)
    if after is not None and topic is not None:  # "my sister called and moved 12 fry": who did?
        return draw.choice((*FULL, *(LOOSE[4:] if after.opens else ())))
    if after is None or after.opens:
        runs_on = after is not None or words.split()[0].lower() in SUBJECTS
        return draw.choice((*FULL, *LOOSE, " ") if runs_on and not before[-1].isdigit() else (*FULL, *LOOSE))
    return draw.choice(FULL)


def notes(seed: int, count: int, *, back: bool = False) -> Iterator[Joined]:
    """Joined notes, the same for the same seed; of the parts kept back or of the others."""
    draw = random.Random(seed)
    told = [f for f in facts() if kept_back(f.text) is back]
    said = [t for t in talk() if kept_back(t[1]) is back]
    for _ in range(count):
        yield _note(draw, told, said)


def _note(draw: random.Random, told: list[Fact], said: list[tuple[str, str]]) -> Joined:
    parts: list[Fact | tuple[str, str]] = []
    taken: set[str] = set()
    for _ in range(draw.choice((1, 1, 2, 2, 3))):
        fact = draw.choice(told)
        apart = not taken & fact.spots and not any(s.startswith("all") for s in taken | fact.spots)
        if apart or not parts:
            parts.append(fact)
            taken |= fact.spots
    parts += draw.sample(said, draw.choice((0, 1, 1, 2, 3)) if len(parts) > 1 else draw.choice((1, 1, 2, 3)))
    draw.shuffle(parts)
    text, joins = "", []
    topic: str | None = None
    for part in parts:
        words = part.text if isinstance(part, Fact) else part[1]
        if text:
            join = _join(draw, text, topic, part if isinstance(part, Fact) else None, words)
            if topic is not None and join != "\n" and draw.random() < 0.1 and topic not in HOLDING:
                join = ". "
            if not isinstance(part, Fact) and draw.random() < 0.08:
                words, join = f"({words})", " "
            joins.append(join)
            up = join in (". ", "! ") and draw.random() < 0.7 and not isinstance(part, Fact)
            text += join + (words[0].upper() + words[1:] if up else words)
        else:
            text = words
        topic = None if isinstance(part, Fact) else part[0]
    its = [p for p in parts if isinstance(p, Fact)]
    wants = [
        {"outcome": "log", "events": list(itertools.chain.from_iterable(readings)), "query": None}
        for readings in itertools.islice(itertools.product(*(f.wants for f in its)), 24)
    ]
    topics = tuple(p[0] for p in parts if not isinstance(p, Fact))
    return Joined(text, wants, tuple(joins), topics, tuple(f.text for f in its))


class Measured:
    """Reads notes and judges them, leaving out those a part of which is not read right alone."""

    def __init__(self) -> None:
        card = card_of("millrace.json")
        self.reader, self.room = Reader(Names.of(card)), Room.of(card)
        self.right: dict[str, bool] = {}
        self.by_text = {f.text: f for f in facts()}

    def verdict(self, note: Joined) -> tuple[str, Raw] | None:
        if not all(self.right_alone(text) for text in note.facts):
            return None
        got: dict[str, Any] = self.reader.read(note.text, SENT).outside()
        return best(note.wants, got, note.text, self.room), got

    def judge(self, text: str, readings: list[list[Raw]]) -> str:
        """How a note is read of which any of these readings is right."""
        wants = [{"outcome": "log", "events": events, "query": None} for events in readings]
        return best(wants, self.reader.read(text, SENT).outside(), text, self.room)

    def right_alone(self, text: str) -> bool:
        if text not in self.right:
            self.right[text] = self.judge(text, [list(r) for r in self.by_text[text].wants]) == "exact"
        return self.right[text]


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--count", type=int, default=1000)
    asked.add_argument("--back", action="store_true", help="the parts kept back, which are counted and never shown")
    asked.add_argument("--show", default="", help="verdict to print the notes of")
    asked.add_argument("--most", type=int, default=20)
    asked.add_argument("--topic", default="")
    args = asked.parse_args()
    measured, verdicts = Measured(), Counter[str]()
    by: dict[str, Counter[str]] = {}
    shown = 0
    for note in notes(args.seed, args.count, back=args.back):
        found = measured.verdict(note)
        if found is None:
            continue
        verdict, got = found
        verdicts[verdict] += 1
        for name in {*map(repr, note.joins), *note.topics, f"facts {len(note.facts)}", f"talk {len(note.topics)}"}:
            by.setdefault(name, Counter())[verdict] += 1
        if verdict == args.show and not args.back and shown < args.most and args.topic in (*note.topics, ""):
            shown += 1
            print(f"--- {note.text!r}")
            print(f"    want {note.wants[0]['events']}")
            for event in got["events"]:
                print(f"    got  { ({k: v for k, v in event.items() if k != 'text'}) }")
            print(f"    {got['outcome']} {got.get('query')}")
    for name, counts in sorted(by.items(), key=lambda x: -x[1]["misread"] / x[1].total()):
        total = counts.total()
        shares = "  ".join(f"{v} {100 * counts[v] / total:5.1f}" for v in ("exact", "asked", "misread"))
        print(f"{name:20} {total:5}  {shares}")
    total = verdicts.total()
    print(total, {v: f"{100 * n / total:.1f} %" for v, n in verdicts.items()})


if __name__ == "__main__":
    main()
