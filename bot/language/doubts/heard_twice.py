"""A note is read twice, by rules and by a net learnt from notes; what is not to be trusted of it is asked.

What both say is believed sooner than what one says alone (see `trust`). Where neither reading can be trusted the keeper
has both to tap, the likelier first. The net logs nothing that the rules name a doubt about: a tank the room lacks, a
number that cannot be.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from bot.language.clauses.group import Raw
from bot.language.doubts import second_opinion
from bot.language.doubts.likely import UNSURE, called, left, shortened
from bot.language.doubts.proven import is_proven
from bot.language.doubts.trust import Both, agree, left_over, trust
from bot.language.doubts.unfamiliar import tells_nothing
from bot.language.kept_out.negative import below_nothing
from bot.language.learnt.bidden import KEPT, ORDERS
from bot.language.learnt.enough import TELLABLE
from bot.language.learnt.second_reading import FirstReading, SecondReading, read_again, same, within
from bot.language.reading import Doubt, Outcome, Query, Reading
from bot.language.remarks import remark
from bot.language.tags import Tag, Tagger
from bot.language.telling import Teller
from bot.language.text.names import Names
from bot.language.times.dating import finished
from shared.events import Event

TRUSTED = 0.84  # the chance of being right from which on a reading is logged
KEEPING = 0.7  # from here on a note is kept as a remark
QUIET = 0.45  # from here on a note is believed to tell nothing that is to be logged
CLEARLY = 0.2  # more likely by so much, one question is answered rather than another
OFFERED = 0.15  # from here on the net's reading is among the choices
READ_AGAIN = TELLABLE
OF_NET = TELLABLE - {"undo", "close_place"}  # what the net may tell alone; it never takes anything away unasked
FEWEST_WORDS = 5  # tags of a note; shorter ones are shorthand or an answer, and mean what the rules for it say
FEWEST_TO_DOUBT = 3  # where the rules only ask
MOST_WORDS = 120  # longer ones are read by the rules alone
SHORTHAND = 8  # tags of a note that is not read twice where all of it is known and plays a part


@dataclass(frozen=True)
class First:
    """What the rules made of a note before any of it was doubted; `tags` as they were before that.

    `live`: those of them that were not taken for small talk. `muted`: whether any clause was taken for a plan, a wish,
    a denial or news of others.
    """

    text: str
    sent: dt.datetime
    names: Names
    tags: Sequence[Tag]
    live: Sequence[Tag]
    muted: bool
    told: tuple[Raw, ...]
    doubted: bool
    query: Query | None

    @property
    def worded(self) -> Sequence[Tag]:
        """What its wording is known by: what was not taken for small talk, or all of it where all was."""
        return self.live or self.tags

    def ending(self, outcome: str) -> FirstReading:
        """The first reading as the net is shown it, once it is known whether it will be logged, answered or asked."""
        ghost = Teller(self.names, self.sent, events=[dict(raw) for raw in self.told])
        told = tuple(e.outside() for e in finished(ghost))
        whole = bool(self.told) and all(raw.get("_whole") for raw in self.told)
        return FirstReading(outcome, told, whole, self.doubted, self.query.about if self.query else "")

    def both(self, rules: Reading) -> Both:
        """The reading of the rules beside that of the net, for which the first is one of the signs."""
        first = self.ending(rules.outcome)
        again = read_again(self.names, self.tags, self.sent, first)
        return Both(self.text, self.names, self.live, rules, first, self._of(again, rules), again)

    def _of(self, again: SecondReading, rules: Reading) -> Reading:
        """The net's reading in full; it asks where a number cannot be."""
        events, doubts = below_nothing(self.text, again.events)
        if not doubts:
            events, doubts = second_opinion.too_early(events, self.text, self.sent.hour)
        told = tuple(event for event in events if event.kind != KEPT)
        kept = (remark(list(self.tags), self.text, self.names),) if events or again.kept else ()
        events = told or kept
        outcome: Outcome = "log" if events else "none"
        if again.query is not None:
            outcome = "both" if events else "answer"
        if again.unclear or doubts:
            outcome = "ask"
        return Reading(outcome, events, again.query, doubts, rules.spans)


def settled(first: First, rules: Reading, teller: Teller, tagger: Tagger) -> Reading:
    """The reading that can be trusted, else the question which it is."""
    fewest = FEWEST_TO_DOUBT if rules.outcome == "ask" else FEWEST_WORDS
    if not fewest <= len(first.tags) <= MOST_WORDS or not _kinds(rules) <= READ_AGAIN:
        return rules
    if _plain(first, rules) or _a_sum(first, rules) or is_proven(first.worded, first.names):
        return rules
    if rules.outcome == "ask" and not _kinds(rules) and any(map(_stands, rules.doubts)):
        return rules  # whatever the net says
    both = first.both(rules)
    of_rules, of_net = trust(both)
    if rules.outcome == "ask":
        return _after_doubts(first, both, of_net, teller, tagger)
    if rules.outcome == "answer" and both.net.outcome == "answer":
        return both.net if _asks_rather(rules, both.net.query, of_rules, of_net) else rules
    if rules.outcome == "answer" and (of_rules >= of_net or not _kinds(both.net)):
        return rules  # but what may be told as well is never passed over
    if _kinds(rules) & ORDERS and agree(rules, both.net, first.names):
        of_rules = max(of_rules, of_net)
    fuller = not same(both.net.events, rules.events, first.names) or _facts(both.net) > _facts(rules)
    if _drops_a_place(first, rules):
        of_rules = min(of_rules, QUIET)
    if of_net > of_rules and (fuller or of_rules < TRUSTED) and _may_stand(first, both, of_net):
        return both.net
    enough = {"log": TRUSTED if _kinds(rules) else KEEPING, "none": QUIET}.get(rules.outcome, TRUSTED)
    if of_rules >= enough:
        return rules
    return _asked(both, of_rules, of_net, teller, tagger)


def _plain(first: First, rules: Reading) -> bool:
    """Whether a note is shorthand that was understood to the last word: it means what the rules for it say."""
    if rules.outcome != "log" or not all(raw.get("_whole") for raw in first.told):
        return False
    if len(first.live) > SHORTHAND or any(map(tells_nothing, first.live)) or _a_place_or_a_count(first):
        return False
    return left_over(first.live, [e.outside() for e in rules.events], None, first.names)[0] == 0


def _a_place_or_a_count(first: First) -> bool:
    """Whether a number after "and" may be one more place or how many: "2 dead in 13 and 14 today"."""
    return any(
        tag.kind == "num" and f"{tag.value:g}" in first.names.by_id and before.word in _AND and head.kind in _PLACED
        for head, before, tag in zip(first.live, first.live[1:], first.live[2:], strict=False)
    )


def _drops_a_place(first: First, reading: Reading) -> bool:
    """Whether of places said in one breath some are told of and some are not: "4 hatched in A and B"."""
    told = {place for event in reading.events for place in _places_of(event.outside())}
    by_id = first.names.by_id
    together = [set(tag.value) for tag in first.live if tag.kind == "place" and len(tag.value) > 1]
    together += [
        {*head.value[:1], *by_id[tag.word]}
        for head, before, tag in zip(first.live, first.live[1:], first.live[2:], strict=False)
        if before.word in _AND and head.kind == "place" and tag.kind == "word" and tag.word in by_id.keys() - _NO_TUB
    ]
    return any(places & told and not places <= told for places in together)


def _places_of(raw: Raw) -> list[Any]:
    return [*(raw.get(key) for key in ("place", "from", "to")), *(raw.get("places") or ()), *(raw.get("except") or ())]


_NO_TUB = frozenset(["a", "i"])  # an article, the keeper
_AND = frozenset(["and", "&", "n", ","])
_PLACED = frozenset(["num", "place"])


def _a_sum(first: First, rules: Reading) -> bool:
    """Whether a sum is asked for, or what follows from figures: the words for that are fixed."""
    query = rules.query
    figures = any(tag.kind in _MEASURED for tag in first.tags)
    return rules.outcome == "answer" and query is not None and (query.about == "calc" or bool(query.given) or figures)


_MEASURED = frozenset(["deg", "vol", "len", "pct", "amount", "dur"])


def _asks_rather(rules: Reading, net: Query | None, of_rules: float, of_net: float) -> bool:
    """Whether the net's question is clearly the likelier one; some have words of their own, which the rules know."""
    if rules.query is not None and rules.query.about in _OWN_WORDS:
        return of_rules < QUIET and of_net >= TRUSTED
    if rules.query is not None and net is not None and net.outside().items() < rules.query.outside().items():
        return False  # it only names less
    return of_net >= of_rules + CLEARLY


_OWN_WORDS = frozenset(["ammonia", "dose", "calc", "chart", "help"])


def _after_doubts(first: First, both: Both, of_net: float, teller: Teller, tagger: Tagger) -> Reading:
    """What is made of a note that the rules have a doubt about: what else they read in it stands if the net says so.

    A gap the rules could not fill may be filled by the net; what cannot be, or is not here, it cannot mend.
    """
    rules = both.rules
    if any(map(_stands, rules.doubts)):
        return rules if within(rules.events, both.net.events, both.names) else _asked(both, 0.0, of_net, teller, tagger)
    if _may_stand(first, both, of_net):
        return both.net
    if rules.events and not within(rules.events, both.net.events, both.names):
        return _asked(both, 0.0, of_net, teller, tagger)
    if _choices(both, of_net):
        return _asked(both, 0.0, of_net, teller, tagger)
    return rules if rules.events else _offered(both, of_net, teller)


def _stands(doubt: Doubt) -> bool:
    """Whether a doubt stays whatever the net says: what cannot be or is not here, or one of several that was meant."""
    return doubt.firm or bool(doubt.options and doubt.missing != second_opinion.SURE)


def _facts(reading: Reading) -> int:
    return sum(len(event.outside()) for event in reading.events)


def _kinds(reading: Reading) -> set[str]:
    return {str(e.kind) for e in reading.events} - {"remark"}


def _may_stand(first: First, both: Both, chance: float) -> bool:
    """Whether the net's reading may stand alone; what the rules would log is never passed over for it."""
    net = both.net
    if net.outcome == "ask" or not _kinds(net) <= OF_NET:
        return False
    if not net.events:
        return not _kinds(both.rules) and chance >= (QUIET if net.query is not None else TRUSTED)
    if first.muted or (not _kinds(both.rules) and both.rules.outcome != "ask"):
        return False  # what the rules take for a plan, talk or a question is asked about before it is logged
    if all(tag.kind in _FIGURES for tag in first.tags):
        return False  # "1 12" on one line and "2 14" on the next: nothing says what was done
    return chance >= TRUSTED and both.again.whole and not _drops_a_place(first, net)


_FIGURES = frozenset(["num", "place", "sep", "stop", "punct"])


def _choices(both: Both, of_net: float) -> list[tuple[Raw, ...]]:
    """What the net would log, and what else it thinks likely, if it is fit to be tapped."""
    if both.net.outcome == "ask" or of_net < OFFERED:
        return []
    told = [both.net.events] if both.again.complete else []
    if told or both.rules.outcome != "ask":  # a question of the rules that names the gap is better than a second best
        told += both.again.otherwise()
    return [tuple(e.outside() for e in events) for events in told if _fit(events)]


def _fit(events: Sequence[Event]) -> bool:
    kinds = {str(event.kind) for event in events} - {"remark"}
    return bool(kinds) and kinds <= TELLABLE


def _asked(both: Both, of_rules: float, of_net: float, teller: Teller, tagger: Tagger) -> Reading:
    """Which of the two readings it is, the likelier first."""
    readings = _choices(both, of_net)
    if _kinds(both.rules):
        readings.insert(0 if of_rules >= of_net else len(readings), tuple(e.outside() for e in both.rules.events))
    if not readings:
        return both.rules if of_rules >= QUIET else _unheard(both, teller, tagger)
    likely: dict[str, tuple[Raw, ...]] = {}
    for told in readings:
        likely.setdefault(called(told, teller), told)
    question = "That can be read in more than one way. Which is it?" if len(likely) > 1 else _IS_IT
    doubt = Doubt(both.text[:200], question, likely=(*likely.items(), left(tagger, both.text, teller)))
    return Reading("ask", (), both.rules.query, (doubt,), both.rules.spans)


_IS_IT = "I may not have understood all of that. Is it this?"


def _unheard(both: Both, teller: Teller, tagger: Tagger) -> Reading:
    """What to do with a note that tells something nobody heard, rather than keep it in silence."""
    if both.rules.outcome not in ("log", "none") or _kinds(both.rules) or both.rules.query is not None:
        return both.rules
    question = f"{UNSURE} “{shortened(both.text)}”. How should I write it down?"
    doubt = Doubt(both.text[:200], question, likely=(left(tagger, both.text, teller),))
    return Reading("ask", (), None, (doubt,), both.rules.spans)


def _offered(both: Both, of_net: float, teller: Teller) -> Reading:
    """The doubt of the rules about a whole note, with what the net makes of it as the first choice."""
    rules = both.rules
    if len(rules.doubts) != 1 or rules.doubts[0].missing != "kind":
        return rules
    for told in _choices(both, of_net):
        label, doubt = called(told, teller), rules.doubts[0]
        others = tuple(choice for choice in doubt.likely if choice[0] != label)
        rules = replace(rules, doubts=(replace(doubt, likely=((label, told), *others)),))
    return rules
