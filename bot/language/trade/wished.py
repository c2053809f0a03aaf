"""A wish for fish that was granted: "she'd love a pair of the boesemani, and I said I'd keep them for her"."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.scene import Sentence
from bot.language.telling import Teller
from bot.language.trade.terms import fish_count, fishy, places_told

_WISHES = re.compile(
    r"\b(?:would (?:really )?(?:like|love)|wants?|wanted|(?:she|he|they)'d (?:really )?(?:like|love)|asked for"
    r"|asked if (?:she|he|they) (?:could|can|might) have|confirmed"
    r"|(?:is |'s |are )?coming \w+ (?:for|to (?:take|get|fetch))"
    r"|will come .*\bto (?:take|get|fetch))\b"
)
_GRANTED = re.compile(
    r"\b(?:i|i've|i'll|we|we've|we'll)\b(?: just| already)? (?:said|told (?:her|him|them))"
    r" (?:yes|ok|okay|of course|that's fine)"
    r"|\b(?:i|we) (?:said|told (?:her|him|them)) (?:i|we)'(?:d|ll) (?:keep|hold|save|put)\b"
    r"|\b(?:i|we|i've|we've) promised (?:her|him|them|it)\b|\bpromised (?:her|him|them) the (?:fish|lot)\b"
    r"|\b(?:put|pop|get) (?:her|his|their) name\b|\bkeep (?:please|them back|them by|them aside)\b|\bkeep,? please\b"
    r"|\bdon't let (?:me|us|anyone|anybody) sell (?:them|it)\b|\bconfirmed\b"
)
_OPEN = re.compile(
    r"\b(?:if|maybe|might|perhaps|whether|unless|haven't|didn't|not sure|think about it|i'd see|we'd see|we'd talk)\b"
)


_ELSE = ("pull", "dead", "lost", "bad", "eyed", "hatch", "wc", "topoff", "feed", "sold", "bought", "paid", "release")


def granted(sentences: list[Sentence], number: int, teller: Teller) -> int:
    """How many sentences tell of one wish granted; the promise is told. 0 where it is none, or not surely one."""
    first = sentences[number]
    wish = _WISHES.search(first.text())
    if not wish or first.stop == "?":
        return 0
    for many in (1, 2, 3):
        its = sentences[number : number + many]
        text = " . ".join(s.text() for s in its)
        if len(its) < many or _OPEN.search(text) or its[-1].stop == "?":
            return 0
        if _GRANTED.search(text):
            return many if _promised(its, teller) else 0
    return 0


def _promised(its: list[Sentence], teller: Teller) -> bool:
    """Tell the promise, where who, how many and which fish are all said."""
    parts = [p for s in its for p in s.parts]
    if any(p.cues(*_ELSE) for p in parts):
        return False
    group = Group(parts, teller.names, teller.context)
    members = teller.names.people
    who = [t.value for t in group.kind("person") if t.value not in members] or [teller.context.values.get("person")]
    count, keys, odd = fish_count(group)
    batches, line = group.batches(), group.line()
    if odd or count is None or who[0] is None or len(set(who)) > 1 or not any(map(fishy, parts)):
        return False
    if line is None and len(batches) != 1:
        return False
    days = list(dict.fromkeys(t.value for t in group.kind("day") if not t.value.vague and (t.value.offset or 0) >= 0))
    if len(days) > 1:
        return False
    batch = batches[0] if len(batches) == 1 else None
    line = line or teller.names.batch_of[batch].line if batch else line
    places = places_told(group)
    if len(places) == 1 and batch is None:
        keys["place"] = places[0]
    raw = teller.tell("reserve", group, count=count, line=line, batch=batch, buyer=who[0], **keys)
    raw["_sentence"] = id(its[0])
    teller.asked |= {id(s) for s in its}  # understood to the last word
    raw["_day"], raw["_ahead"], raw["_clock"] = days[0] if days else None, True, None
    teller.read |= {id(p) for p in parts}
    return True
