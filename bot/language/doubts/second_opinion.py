"""A second opinion on a note: which kinds of event its words usually tell, learnt from labelled notes.

It never logs anything. Where it is sure that a kind is told which was not read, or that a kind read is not told, the
keeper is asked. The weights stand in second_opinion.tsv; `python -m tests.language.learn` makes them anew.

The model is one logistic regression for each kind over the signs of a note: words, neighbouring words, and what the
words may be signs of; names, numbers, days and amounts only by what they are, so that no room's names are in it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from bot.language.reading import Doubt
from bot.language.tags import Tag
from bot.language.tags.tag import senses_of
from shared.events import Event

WEIGHTS = Path(__file__).with_suffix(".tsv")
SCALE = 100  # weights are kept in hundredths
QUESTION = "question"
SURE = "sure"  # what is missing of an event nobody is sure of: a yes
SURELY = 0.6  # from here on a kind nobody read is asked about
MAY_BE_LEFT_OUT = frozenset(["headcount", "snooze", "remind", "done", "reserve"])  # as fair as a remark, or nothing
# Told to the hand itself, in forms of their own that few notes show: the reading of them is not doubted.
ORDERS = frozenset(["setting", "remind", "undo", "fix", "new_place", "new_line", "new_batch", "close_place", "refund"])
TICKS = frozenset(["done", "snooze"])  # said in so many words, whatever stands beside them
ENOUGH_KNOWN = 3  # signs of a note the weights know; fewer are no ground to doubt a reading
_BY_WORD = frozenset(["word", "punct", "stop", "lex"])

TOLD: dict[str, str] = {
    "pull": "eggs were collected",
    "mop": "a mop was put in",
    "bad_eggs": "bad eggs were taken out",
    "eyed": "eggs are eyed up",
    "hatch": "fry hatched",
    "move": "something was moved",
    "death": "fish died",
    "headcount": "fish were counted",
    "water_change": "water was changed",
    "top_off": "water was topped up",
    "dose": "something was put into the water",
    "feed": "something was fed",
    "measure": "something was measured",
    "stock_in": "something came in",
    "sale": "fish were sold",
    "reserve": "fish are promised",
    "release": "a promise is off",
    "culture": "a culture was seen to",
    "service": "something was cleaned or mended",
    "peat": "peat was seen to",
    "new_place": "a tank or tub was set up",
    "close_place": "a tank or tub was taken down",
    "setting": "the routine is to change",
    "remind": "you want to be reminded",
    "done": "a chore is done",
    "snooze": "something is put off",
    "undo": "the last note is to be taken back",
    "fix": "the last note is to be mended",
}

_ASKED_FOR = TOLD.keys() - MAY_BE_LEFT_OUT
DEEDS = TOLD.keys() - MAY_BE_LEFT_OUT - ORDERS  # what was done or found in the room


def sign_of(tag: Tag) -> str:
    """One word as the model sees it: what it is a sign of, else the word; a name, number or day by what it is."""
    senses = senses_of(tag)
    cue = next((s for s in senses if s.startswith("cue=")), senses[0] if senses else "")
    return cue or (tag.word.casefold() if tag.kind in _BY_WORD else tag.kind.upper())


def signs_of(tags: Sequence[Tag], text: str) -> set[str]:
    """What the model sees of a note: its words in order, names and numbers only by what they are."""
    seen, signs = ["<"], set[str]()
    for tag in tags:
        signs.update(senses_of(tag))
        seen.append(sign_of(tag).replace("\t", " ").replace("\n", "/"))
        if tag.kind == "stop":  # what was said first is no sign: every sentence begins anew
            seen += [">", "<"]
    seen.append(">")
    signs.update(seen)
    signs.update(f"{a} {b}" for a, b in pairwise(seen))
    signs.add(f"of {min(9, len(tags) // 4)}")
    signs.add("always")
    if "?" in text:
        signs.add("asks")
    return signs


@lru_cache(maxsize=1)
def _weights() -> tuple[tuple[str, ...], dict[str, float], dict[str, str]]:
    """The kinds, for each the chance below which a reading of it is asked about first, and the rows as written."""
    first, second, *rows = WEIGHTS.read_text(encoding="utf-8").splitlines()
    kinds = tuple(first.split("\t")[1:])
    floors = {kind: int(n) / 1000 for kind, n in zip(kinds, second.split("\t")[1:], strict=True)}
    return kinds, floors, dict(row.split("\t", 1) for row in rows)


@lru_cache(maxsize=2048)
def _of(sign: str) -> tuple[int, ...]:
    return tuple(map(int, _weights()[2][sign].split("\t")))


def chances(signs: Iterable[str]) -> tuple[dict[str, float], int]:
    """The chance of each kind, and how many of the signs the weights know."""
    kinds, _, known = _weights()
    rows = [_of(sign) for sign in signs if sign in known]
    sums = map(sum, zip([0] * len(kinds), *rows, strict=True))
    return {kind: 1 / (1 + math.exp(-total / SCALE)) for kind, total in zip(kinds, sums, strict=True)}, len(rows)


SHORT = 16  # tags of a note that says what it says
# The words that are a kind's own, by what they are signs of.
_OWN: dict[str, tuple[tuple[str, str], ...]] = {
    "pull": (("cue", "pull"),),
    "bad_eggs": (("cue", "bad"), ("cue", "bad_weak")),
    "hatch": (("cue", "hatch"), ("noun", "fry")),
    "move": (("cue", "move"), ("cue", "put")),
    "death": (("cue", "dead"),),
    "water_change": (("cue", "wc"), ("cue", "changed")),
    "top_off": (("cue", "topoff"),),
    "dose": (("substance", ""),),
    "feed": (("cue", "feed"), ("food", "")),
    "measure": (("quantity", ""), ("degree", "")),
    "sale": (("cue", "sold"),),
    "stock_in": (("cue", "bought"),),
    "culture": (("food", ""), ("noun", "culture")),
    "service": (("item", ""),),
}


def _spoken(tags: Sequence[Tag], live: Sequence[Tag]) -> set[str] | None:
    """The kinds whose own words are among some tags; None when a note is long, or denies or plans something."""
    if len(tags) > SHORT or any(t.says("guard") or t.says("hearsay") or t.word.startswith("should") for t in tags):
        return None
    said: dict[str, set[str]] = {}
    for tag in live:
        for sort, values in tag.senses.items():
            said.setdefault(sort, set()).update(values)
    found = {kind for kind, signs in _OWN.items() for s, v in signs if s in said and (not v or v in said[s])}
    figures = [t for t in live if t.kind in ("num", "place")] + [t for t in live if t.says("noun", "tank")]
    if any(t.kind == "deg" for t in live) or (len(figures) > 1 and any(t.word in ("is", "at", "reads") for t in live)):
        found.add("measure")
    if any(t.kind in ("pct", "frac", "vol") or t.word.endswith("water") for t in live):
        found.add("water_change")
    if any(t.kind == "culture" for t in live):
        found |= {"culture", "feed"}
    return found


def _as_well(told: set[str]) -> set[str]:
    """The kinds whose words may well be part of what is told: a culture is fed, eggs pulled go into a tub."""
    return ({"feed"} if "culture" in told else set()) | ({"move"} if told & {"pull", "hatch", "stock_in"} else set())


_TO_COME = re.compile(r"\b(?:tonight|this evening|later today)\b")
NOON = 12


def too_early(events: tuple[Event, ...], text: str, hour: int) -> tuple[tuple[Event, ...], tuple[Doubt, ...]]:
    """What is told in the morning of the evening to come is asked: "wc 13 tonight" is no change that was made."""
    done = [e for e in events if e.kind in DEEDS]
    if not done or hour >= NOON or not _TO_COME.search(text.lower()):
        return events, ()
    return tuple(e for e in events if e not in done), tuple(_sure(e, text) for e in done)


def _sure(event: Event, text: str) -> Doubt:
    question = f"Is it so that {TOLD.get(event.kind, event.kind)}?"
    return Doubt(text[:200], question, ("yes", "no"), SURE, event.outside())


def doubted(
    events: tuple[Event, ...], asks: bool, tags: Sequence[Tag], text: str, live: Sequence[Tag] | None = None
) -> tuple[tuple[Event, ...], tuple[Doubt, ...]]:
    """The events that stand, and what is asked first; events as they are and nothing asked when the opinions agree.

    A short note without a word of denial or of plans says what it says: a kind whose own word stands among its `live`
    tags is not doubted, and one that has none there is not missed.
    """
    told = {e.kind for e in events} - {"remark"} | ({QUESTION} if asks else set())
    odds, known = chances(signs_of(tags, text))
    if known < ENOUGH_KNOWN or (told and told <= ORDERS):
        return events, ()
    floors = _weights()[1]
    spoken = _spoken(tags, live) if live is not None else None
    unlikely = {kind for kind in told - ORDERS - TICKS if kind in odds and odds[kind] < floors[kind]}
    unlikely -= (spoken or set()) & _OWN.keys()
    if told & {"bad_eggs", "death", "move", "sale"}:
        unlikely.discard("headcount")  # what is left of them
    if unlikely - {QUESTION}:
        kept = tuple(e for e in events if e.kind not in unlikely)
        return kept, tuple(_sure(e, text) for e in events if e.kind in unlikely)
    if "reserve" in told:
        told |= {"sale"}  # a promise at a price has all the words of a sale
    missed = [
        TOLD[kind]
        for kind, odd in odds.items()
        if odd > SURELY
        and kind not in told
        and kind in _ASKED_FOR
        and (spoken is None or not told or kind not in _OWN or kind in spoken - _as_well(told))
    ]
    if missed:
        words = " and that ".join(missed[:2])
        return events, (Doubt(text[:200], f"Does it also say that {words}? Then say that on its own.", (), "kind"),)
    return events, ()
