""" "Same for tank 5": what was just told, told again of other places or another day."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.telling import Teller


def same_again(group: Group, part: Part, teller: Teller) -> bool:
    """ "Same for tank 5": what was just told, told again of other places or another day."""
    text = part.text()
    hit = re.search(
        r"\b(same again|same for|same in|same with|same on|same to|same at|same there|ditto|likewise|the same)\b|^same\b|\bsame$",
        text,
    )
    if (
        not hit
        and "again" in part.words()
        and part.kind("day", "clock")
        and len(part.tags) <= 4
        and not part.kind("num", "place", "pct")
    ):
        hit = re.search("again", text)  # "Wed 6am again"
    if not hit or not teller.events:
        return False
    last = teller.events[-1].get("_told")
    before = [e for e in teller.events if e.get("_told") == last]
    if (
        any(
            e["kind"] not in ("water_change", "feed", "top_off", "dose", "service", "culture", "measure", "pull")
            for e in before
        )
        or group.unknown() is not None
    ):
        return False
    rest = [
        t
        for p in ([part, part.after] if part.after is not None and not part.after.senses_cue() else [part])
        for t in p.tags
    ]
    more = Group([Part(rest, "", part.sentence, part.line)], teller.names, teller.context)
    places = [p for k, v, _ in more.sequence("place") if k == "P" for p in v]
    again = "again" in text
    if not places and not again:
        return False
    day, clock = teller.when(group)
    for old in before:
        new = {k: v for k, v in old.items() if not k.startswith("_")}
        if places and old["kind"] != "culture":
            one = list(old.get("places") or ([old["place"]] if old.get("place") else []))
            its = [*one, *places] if again and "too" in more.words() | more.words() else places
            new.pop("place", None)
            new.pop("places", None)
            new.pop("batch", None)
            new.pop("count", None)
            if old["kind"] in ("water_change", "feed", "top_off") or len(its) > 1:
                new["places"] = list(dict.fromkeys(its))
            else:
                new["place"] = its[0]
        new["_day"], new["_clock"], new["_group"] = day, clock, group
        teller.events.append(new)
        for tag in rest:
            if tag.kind == "num":
                tag.claimed = "place"
    teller.same.add(part.sentence)
    return True
