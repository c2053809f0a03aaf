"""How far a reading of a note can be trusted: the chance that it is right, from all that speaks for and against it.

Two readings are at hand, that of the rules and that of the net. What speaks for one: that the other says the same, that
every name and number plays a part in it, that its kinds are those such words usually tell, that little was lent from
one event to another. The model is two hundred small trees for each of the two, whose leaves are added up (Friedman
2001, Annals of Statistics 29:1189); they stand in trust.json, and `python -m tests.language.learn_trust` makes them
anew from notes that neither reading was made with.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

from bot.language.doubts.second_opinion import ORDERS, TICKS, chances, signs_of
from bot.language.doubts.unfamiliar import strange_words
from bot.language.learnt.aligned import parts_of
from bot.language.learnt.second_reading import LIKELY, FirstReading, SecondReading, same
from bot.language.learnt.values import may_play_a_part, tells_of_a_mop
from bot.language.reading import Query, Reading
from bot.language.tags import Tag
from bot.language.text.names import Names
from shared.events import event_from

TREES = Path(__file__).with_suffix(".json")
SURE_AT_MOST = 1e-4
_WHEN = frozenset(["day", "clock", "person", "times"])  # said of a note as often as of an event in it


class Both(NamedTuple):
    """Two readings of one note, with what is known of how each came to be; `tags` as they were before both."""

    text: str
    names: Names
    tags: Sequence[Tag]
    rules: Reading
    first: FirstReading
    net: Reading
    again: SecondReading

    def signs(self) -> tuple[dict[str, float], dict[str, float]]:
        """What speaks for and against the reading of the rules, and that of the net; nothing for one that only asks."""
        if self.rules.outcome == self.net.outcome == "ask":
            return {}, {}
        of_note, (by_words, _) = self._of_note(), chances(signs_of(self.tags, self.text))
        return (
            {**of_note, **self._of(self.rules, self.net, by_words)} if self.rules.outcome != "ask" else {},
            {**of_note, **self._of(self.net, self.rules, by_words)} if self.net.outcome != "ask" else {},
        )

    def _of_note(self) -> dict[str, float]:
        said, again, first = self.again.chances, self.again, self.first
        told = [e.outside() for e in again.events]
        return {
            "sure": _odds(again.sure),
            "all sure": _odds(again.all_sure),
            "unclear": _odds(said.get("ask", 0.0)),
            "nothing": _odds(said.get("none", 0.0)),
            "kept": _odds(said.get("remark", 0.0)),
            "strange": float(strange_words(self.tags)),
            "words": float(len(self.tags)),
            "words, less and less": math.log(len(self.tags) + 1),
            "sentences": float(sum(tag.kind == "stop" for tag in self.tags)),
            "net whole": float(again.whole),
            "rules whole": float(first.whole),
            "rules doubt": float(first.doubted),
            "rules ask": float(self.rules.outcome == "ask"),
            "rules tell": float(bool(first.told)),
            "told alike": float(_alike(first.told, told, self.names)),
            "net complete": float(again.complete),
            "least clear kind": max((min(chance, 1 - chance) for chance in said.values()), default=0.0),
            "unclear kinds": sum(min(chance, 1 - chance) for chance in said.values()),
            "kinds heard": self._kinds_heard(),
            "played": float(sum(again.played.values())),
            **{f"played {role}": float(again.played.get(role, 0)) for role in _PLAYED},
            **{f"named {kind}": float(self._named().get(kind, 0)) for kind in _NAMED},
        }

    def _kinds_heard(self) -> float:
        return float(sum(chance > LIKELY for chance in self.again.chances.values()))

    def _named(self) -> Mapping[str, int]:
        return Counter("place" if tag.kind == "batch" else tag.kind for tag in self.tags)

    def _of(self, one: Reading, other: Reading, by_words: Mapping[str, float]) -> dict[str, float]:
        raws = [event.outside() for event in one.events]
        kinds = {str(raw["kind"]) for raw in raws} - {"remark"}
        left, cues = left_over(self.tags, raws, one.query, self.names)
        said = self.again.chances
        return {
            "agree": float(agree(one, other, self.names)),
            "kinds agree": float({e.kind for e in one.events} == {e.kind for e in other.events}),
            "as told": float(_alike(self.first.told, raws, self.names)),
            "left": float(left),
            "any left": float(left > 0),
            "cues left": float(cues),
            "kinds": _odds(min((said.get(kind, 0.0) for kind in kinds), default=1.0)),
            "other kinds": _odds(max((said[kind] for kind in said.keys() - kinds - _OUTCOMES), default=0.0)),
            "kinds by words": _odds(min((by_words.get(kind, 1.0) for kind in kinds), default=1.0)),
            "other kinds by words": _odds(max((by_words[kind] for kind in by_words.keys() - kinds), default=0.0)),
            "asks": _odds(self.again.abouts.get(one.query.about if one.query else "", 0.0)),
            "events": float(len(raws)),
            "answers": float(one.outcome == "answer"),
            "both": float(one.outcome == "both"),
            "none": float(one.outcome == "none"),
            "only kept": float(bool(raws) and not kinds),
            "orders": float(bool(kinds & (ORDERS | TICKS))),
            "other asks": float(other.outcome == "ask"),
            **self._put_together(raws),
        }

    def _put_together(self, raws: Sequence[Mapping[str, Any]]) -> dict[str, float]:
        """How its events are made: the more of them, and the more they share of what was said once, the less sure."""
        kinds = [str(raw["kind"]) for raw in raws]
        facts, played = sum(map(len, raws)), self.again.played
        places = sum(("place" in raw) + len(raw.get("places") or ()) for raw in raws)
        return {
            "kinds told": float(len(set(kinds))),
            "most of one kind": float(max(Counter(kinds).values(), default=0)),
            "same kind again": float(sum(one == other for one, other in pairwise(kinds))),
            "kinds unsaid": self._kinds_heard() - len(set(kinds)),
            "facts": float(facts),
            "facts each": facts / max(1, len(raws)),
            "facts shared": float(facts - len(raws) - sum(played.values())),
            "places": float(places),
            "places shared": float(places - played.get("place", 0)),
            "without place": float(sum(_PLACES.isdisjoint(raw) for raw in raws)),
            **{f"with {key}": float(sum(key in raw for raw in raws)) for key in _TIMED},
            **{f"{key}s": float(len({raw[key] for raw in raws if key in raw})) for key in _TIMED},
        }


_PLAYED = ("place", "count", "when", "to", "from", "percent", "line", "buyer", "food", "value", "there", "amount",
           "price", "culture")  # fmt: skip
_NAMED = ("num", "place", "day", "clock", "person", "line")
_TIMED = ("date", "time")
_PLACES = frozenset(["place", "places", "batch"])


_OUTCOMES = frozenset(["ask", "answer", "both", "none", "remark"])


def trust(both: Both) -> tuple[float, float]:
    """The chance that the reading of the rules is right, and that of the net; nothing for one that only asks."""
    rules, net = both.signs()
    return (
        _chance(rules, 0) if both.rules.outcome != "ask" else 0.0,
        _chance(net, 1) if both.net.outcome != "ask" else 0.0,
    )


def _chance(signs: Mapping[str, float], column: int) -> float:
    names, forests = _grown()
    start, trees = forests[column]
    values, total = [signs[name] for name in names], 0.0
    for tree in trees:
        while isinstance(tree, list):  # [sign, threshold, tree up to it, tree above it], else the number of a leaf
            sign, threshold, low, high = tree
            tree = low if values[sign] <= threshold else high
        total += tree
    return 1 / (1 + math.exp(-start - total))


@lru_cache(maxsize=1)
def _grown() -> tuple[list[str], list[tuple[float, list[Any]]]]:
    """The signs in order, and for each of the two readings where the sum starts and the trees."""
    kept = json.loads(TREES.read_text(encoding="utf-8"))
    return kept["signs"], [(kept[which]["start"], kept[which]["trees"]) for which in ("rules", "net")]


def _odds(chance: float) -> float:
    chance = min(max(chance, SURE_AT_MOST), 1 - SURE_AT_MOST)
    return math.log(chance / (1 - chance))


def agree(one: Reading, other: Reading, names: Names) -> bool:
    """Whether two readings say the same, apart from what follows from the rest."""
    if one.outcome != other.outcome or not same(one.events, other.events, names):
        return False
    only_kept = [{e.kind for e in reading.events} == {"remark"} for reading in (one, other)]
    if only_kept[0] != only_kept[1]:
        return False
    return _asked(one.query, names) == _asked(other.query, names)


def _asked(query: Query | None, names: Names) -> dict[str, Any]:
    """What a question names, without what follows from the rest."""
    if query is None:
        return {}
    said = {k: v for k, v in query.outside().items() if k != "given"}
    if "batch" in said:
        batch = names.batch_of.get(str(said["batch"]))
        said.pop("line", None)
        if batch is not None and said.get("place") == batch.place:
            del said["place"]
    return said


def _alike(some: Sequence[Mapping[str, Any]], others: Sequence[Mapping[str, Any]], names: Names) -> bool:
    one, other = ([event_from(dict(raw)) for raw in raws if raw["kind"] != "remark"] for raws in (some, others))
    return bool(one) and bool(other) and same(one, other, names)


def left_over(
    tags: Sequence[Tag], raws: Sequence[dict[str, Any]], query: Query | None, names: Names
) -> tuple[int, int]:
    """How many names and numbers of a note play no part in a reading, and how many words for deeds."""
    asked = [{**query.outside(), "kind": "Q"}] if query else []
    left = [t for t, part in zip(tags, parts_of(tags, [*raws, *asked], names), strict=True) if part is None]
    facts = sum(
        (may_play_a_part(tag, names) and tag.kind not in _WHEN and not tells_of_a_mop(tag))
        or (len(tag.word) == 1 and tag.word in names.by_id)
        for tag in left
    )
    return facts, sum("cue" in tag.senses for tag in left)
