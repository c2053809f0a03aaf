"""Eggs of one pull shared out over several tubs."""

from __future__ import annotations

from typing import Any

from bot.language.clauses.group import Group
from bot.language.eggs.where import breeders, egg_places
from bot.language.scene import Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller


def split_up(sentence: Sentence, teller: Teller) -> list[dict[str, Any]]:
    """Eggs of one pull shared out over tubs ("26 from 3, ten in B, the other sixteen in D"): a pull for each."""
    tags = [t for t in sentence.tags if t.note != "quoted"]
    shares: list[tuple[Tag, str]] = []
    for n, tag in enumerate(tags):
        spots: tuple[str, ...] = tag.value if tag.kind == "place" else ()
        if len(spots) != 1 or breeders(teller, spots[0]) or not n or tags[n - 1].word not in ("in", "into", "to"):
            continue
        back = [t for t in tags[max(0, n - 6) : n - 1] if t.kind in ("num", "place")]
        if back and back[-1].kind == "num" and back[-1].low is None:
            shares.append((back[-1], spots[0]))
    its = {id(t) for t, _ in shares}
    total = sum(float(t.value) for t, _ in shares)
    if len({p for _, p in shares}) < 2 or len(its) != len(shares) or any(p.muted or p.asks for p in sentence.parts[:1]):
        return []
    rest = [t for t in tags if t.kind == "num" and id(t) not in its]
    last = teller.context.event
    group = Group(sentence.parts, teller.names, teller.context)
    if last is not None and last["kind"] == "pull" and last.get("count") == total and not last.get("to") and not rest:
        teller.events.remove(last)
        made = [{**last, "count": int(t.value), "to": p} for t, p in shares]
        teller.events += made
    else:
        if not egg_places(group, teller) and not group.cues("pull") and not group.noun("eggs", "mop"):
            return []
        spoken = [t for t in rest if float(t.value) == total][:1]
        sources = [p for t in group.kind("place") for p in t.value if breeders(teller, p)]
        sources += [p for t in rest if t not in spoken for p in group.ids(t) if breeders(teller, p)]
        if len(spoken) != 1 or len(sources) != 1 or len(rest) > 2 or group.cues("dead", "hatch", "bad"):
            return []
        made = [teller.tell("pull", group, place=sources[0], count=int(t.value), to=p) for t, p in shares]
    for tag in teller.all_tags:
        if tag.kind == "num" and tag.value == total:
            tag.claimed = "total"
    for raw in made:
        raw["_sentence"] = id(sentence)
    teller.read |= {id(p) for p in sentence.parts}
    return made
