"""A note is read twice, by rules and by a net learnt from notes; what is not to be trusted of it is asked.

What both say is believed sooner than what one says alone (see `trust`). Where neither reading can be trusted the keeper
has both to tap, the likelier first. The net logs nothing that the rules name a doubt about: a tank the room lacks, a
number that cannot be.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from bot.language.clauses.group import Raw
from bot.language.doubts import second_opinion
from bot.language.doubts.likely import called, left
from bot.language.doubts.trust import Both, left_over, trust
from bot.language.doubts.unfamiliar import tells_nothing
from bot.language.kept_out.negative import below_nothing
from bot.language.learnt.bidden import KEPT
from bot.language.learnt.parts import TELLABLE, TOLD
from bot.language.learnt.second_reading import FirstReading, SecondReading, read_again, within
from bot.language.reading import Doubt, Outcome, Query, Reading
from bot.language.remarks import remark
from bot.language.tags import Tag, Tagger
from bot.language.telling import Teller
from bot.language.text.names import Names
from bot.language.times.dating import finished

TRUSTED = 0.7  # the chance of being right from which on a reading is logged
TRUSTED_OF_NET = 0.8  # where only the net has one
QUIET = 0.35  # from here on a note is believed to tell nothing
OFFERED = 0.15  # from here on the net's reading is among the choices
READ_AGAIN = TELLABLE - {"fix", "undo"}  # what mends the last note is said back as it is mended
OF_NET = TOLD - {"reserve"}  # what the net may tell alone; what is promised at a price is understood whole, or not
MOST_WORDS = 50  # tags of a note; longer ones are stories, and asked about as they are
FEW = 1  # words that say nothing known; more, or a name or number left over, and a note is read twice
_OPEN = frozenset(["kind", "sure"])  # doubts of what is meant at all; others name what is missing


@dataclass(frozen=True)
class First:
    """What the rules made of a note before any of it was doubted; `tags` as they were before that."""

    text: str
    sent: dt.datetime
    names: Names
    tags: Sequence[Tag]
    told: tuple[Raw, ...]
    doubted: bool
    query: Query | None

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
        return Both(self.text, self.names, self.tags, rules, first, self._of(again, rules), again)

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
    if not 0 < len(first.tags) <= MOST_WORDS or not _kinds(rules) <= READ_AGAIN or _plain(first, rules):
        return rules
    both = first.both(rules)
    of_rules, of_net = trust(both)
    if rules.outcome == "ask":
        return _after_doubts(both, of_net, teller, tagger)
    if of_rules >= max(of_net, TRUSTED) or (of_rules >= of_net and rules.outcome == "answer"):
        return rules
    if of_net > of_rules and _may_stand(both, of_net, TRUSTED if of_rules < TRUSTED else 1.0):
        return both.net
    if of_rules >= TRUSTED or (rules.outcome in ("none", "answer") and of_rules >= QUIET):
        return rules
    return _asked(both, of_rules, of_net, teller, tagger)


def _plain(first: First, rules: Reading) -> bool:
    """Whether a note is shorthand that was understood to the last word: it means what the rules for it say."""
    if rules.outcome != "log" or not all(raw.get("_whole") for raw in first.told):
        return False
    if sum(map(tells_nothing, first.tags)) > FEW:
        return False
    return left_over(first.tags, [e.outside() for e in rules.events], None, first.names)[0] == 0


def _after_doubts(both: Both, of_net: float, teller: Teller, tagger: Tagger) -> Reading:
    """What is made of a note that the rules have a doubt about: what else they read in it stands if the net says so."""
    rules = both.rules
    named = any(doubt.missing not in _OPEN or doubt.options for doubt in rules.doubts)
    if not named and _may_stand(both, of_net, TRUSTED_OF_NET):
        return both.net
    if rules.events and not within(rules.events, both.net.events, both.names):
        return _asked(both, 0.0, of_net, teller, tagger)
    return rules if rules.events or named else _offered(both, of_net, teller)


def _kinds(reading: Reading) -> set[str]:
    return {str(e.kind) for e in reading.events} - {"remark"}


def _may_stand(both: Both, chance: float, least: float) -> bool:
    """Whether the net's reading may stand alone."""
    net = both.net
    if net.outcome == "ask" or not _kinds(net) <= OF_NET:
        return False
    if not net.events:
        return chance >= QUIET
    return chance >= least and (both.again.whole or not _kinds(net))


def _choices(both: Both, of_net: float) -> list[tuple[Raw, ...]]:
    """What the net would log, if it is fit to be tapped."""
    kinds = _kinds(both.net)
    fit = kinds and kinds <= OF_NET and both.again.whole and both.net.outcome != "ask" and of_net >= OFFERED
    return [tuple(e.outside() for e in both.net.events)] if fit else []


def _asked(both: Both, of_rules: float, of_net: float, teller: Teller, tagger: Tagger) -> Reading:
    """Which of the two readings it is, the likelier first."""
    readings = _choices(both, of_net)
    if _kinds(both.rules):
        readings.insert(0 if of_rules >= of_net else len(readings), tuple(e.outside() for e in both.rules.events))
    if not readings:
        return both.rules
    likely: dict[str, tuple[Raw, ...]] = {}
    for told in readings:
        likely.setdefault(called(told, teller), told)
    question = "That can be read in two ways. Which is it?" if len(likely) > 1 else _IS_IT
    doubt = Doubt(both.text[:200], question, likely=(*likely.items(), left(tagger, both.text, teller)))
    return Reading("ask", (), both.rules.query, (doubt,), both.rules.spans)


_IS_IT = "I may not have understood all of that. Is it this?"


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
