"""Where a second reading, learnt from notes, does not say what the first did: asked, with both to tap.

A note whose words are all at home beside each other, and surely tell what was read, is not read again.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.language.clauses.group import Raw
from bot.language.doubts.likely import called, left
from bot.language.doubts.second_opinion import chances, signs_of
from bot.language.doubts.unfamiliar import strange_words
from bot.language.learnt.parts import TOLD
from bot.language.learnt.second_reading import FirstReading, SecondReading, read_again, same, within
from bot.language.reading import Doubt, Query
from bot.language.tags import Tag, Tagger
from bot.language.telling import Teller
from bot.language.text.names import Names
from bot.language.times.dating import finished
from shared.events import Event

PLAIN = 0.8  # the chance of a kind from which on a note of familiar words is not read again
SURE = 0.7  # from here on a second reading that only says less does not speak against the first
OFFERED = 0.5  # how sure a second reading must be to be offered for a note that is asked about
READ_AGAIN = TOLD - {"reserve"}  # what is promised at a price is understood whole, or not at all
FEWEST_WORDS = 5  # tags of a note; shorter ones are shorthand, and mean what the rules for it say
MOST_WORDS = 50  # longer ones are stories, and asked about as they are


@dataclass(frozen=True)
class First:
    """What the rules made of a note before any of it was doubted."""

    text: str
    sent: dt.datetime
    names: Names
    told: tuple[Raw, ...]
    doubted: bool
    query: Query | None

    def ending(self, outcome: str) -> FirstReading:
        """The first reading as the net is shown it, once it is known whether it will be logged, answered or asked."""
        ghost = Teller(self.names, self.sent, events=[dict(raw) for raw in self.told])
        told = tuple(e.outside() for e in finished(ghost))
        whole = bool(self.told) and all(raw.get("_whole") for raw in self.told)
        return FirstReading(outcome, told, whole, self.doubted, self.query.about if self.query else "")

    def again(self, outcome: str) -> SecondReading:
        """The second reading, for which the first is one of the signs."""
        again = read_again(self.names, self.text, self.sent, self.ending(outcome))
        events = tuple(e for e in again.events if e.kind != "remark")
        return replace(again, events=events, whole=again.whole and all(e.kind in TOLD for e in events))


def otherwise(
    first: First, events: Sequence[Event], tags: Sequence[Tag], where_told: Sequence[Tag]
) -> SecondReading | None:
    """The second reading of a note, where it is needed and does not tell the same."""
    told = {str(e.kind) for e in events} - {"remark"}
    if (
        not told
        or not told <= READ_AGAIN
        or not FEWEST_WORDS <= len(tags) <= MOST_WORDS
        or _plain(told, tags, first.text, where_told)
    ):
        return None
    again = first.again("both" if first.query else "log")
    if same(events, again.events, first.names):
        return None
    sure = again.whole or again.sure >= SURE
    return None if sure and within(again.events, events, first.names) else again


def _plain(told: set[str], tags: Sequence[Tag], text: str, where_told: Sequence[Tag]) -> bool:
    """Whether a note says in familiar words what was read in it."""
    if strange_words(where_told):
        return False
    odds, _ = chances(signs_of(tags, text))
    return all(odds.get(kind, 1.0) >= PLAIN for kind in told)


def asked(again: SecondReading, events: Sequence[Event], teller: Teller, tagger: Tagger, text: str) -> Doubt:
    """Which of two readings it is."""
    readings = [tuple(e.outside() for e in events)]
    if again.whole and again.events:
        readings.append(tuple(e.outside() for e in again.events))
    likely: dict[str, tuple[Raw, ...]] = {}
    for told in readings:
        likely.setdefault(called(told, teller), told)
    question = "That can be read in two ways. Which is it?" if len(likely) > 1 else _IS_IT
    return Doubt(text[:200], question, likely=(*likely.items(), left(tagger, text, teller)))


_IS_IT = "I may not have understood all of that. Is it this?"


def offered(first: First, doubts: tuple[Doubt, ...], teller: Teller) -> tuple[Doubt, ...]:
    """The doubt about a whole note, with what a second reading makes of it as the first choice."""
    if len(doubts) != 1 or doubts[0].missing != "kind" or doubts[0].options or len(teller.all_tags) > MOST_WORDS:
        return doubts
    again = first.again("ask")
    if not (again.whole and again.events and again.sure >= OFFERED):
        return doubts
    told = tuple(e.outside() for e in again.events)
    label, likely = called(told, teller), doubts[0].likely
    if any(label == other for other, _ in likely):
        return doubts
    return (replace(doubts[0], likely=((label, told), *likely)),)
