"""Fish promised to somebody, and let go of again."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group, Raw
from bot.language.doubts.second_opinion import SURE
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller
from bot.language.times.days import Day
from bot.language.trade.terms import KEEPS, buyer, fish_count, fishy, people, places_told

_FREED = re.compile(
    r"\b(back on the (?:sale |for sale |stock )?list|back (?:on|up for|in|into) (?:sale|stock)"
    r"|back up for grabs|up for grabs again|free again|for sale again"
    r"|(?:can |could )?go back in the (?:pot|pool|tank)|(?:free|open|there) for (?:somebody|someone|anybody) else)\b"
)


def freed(sentence: Sentence, teller: Teller) -> bool:
    """Whether a sentence frees promised fish ("… can't come, they can go back on the list"); if so tells it."""
    if not _FREED.search(sentence.text()) or sentence.stop == "?":
        return False
    group = Group(sentence.parts, teller.names, teller.context)
    if not people(group) and not (group.lines() and "promised" in group.words()):
        return False
    count, _, odd = fish_count(group)
    who = buyer(group, teller)
    if odd or (who is None and not group.lines()):
        return False
    raw = teller.tell("release", group, buyer=who, line=group.line(), count=count)
    raw["_day"] = raw["_clock"] = None
    teller.read |= {id(p) for p in sentence.parts}
    return True


def sees_hold(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("hold")
    words = part.words()
    if (
        not cue
        and (
            words & KEEPS
            or (words & {"collects", "collecting", "collect"} and teller.context.values.get("head_person"))
        )
        and (fishy(part) or (part.before is not None and fishy(part.before)))
        and (part.kind("num") or part.noun("pair", "trio") or (part.before is not None and part.before.kind("num")))
        and (part.kind("person") or teller.context.values.get("head_person"))
    ):
        return Sight(6)
    person = _strangers(part, teller)
    if cue and (cue[0].word == "booked" and not fishy(part)):
        return None
    if cue and part.before is not None and (fishy(part.before) or part.before.kind("person")):
        return Sight(7, (*cue, *part.cues("collect", "gave")))
    if cue and (
        fishy(part) or person or teller.context.kind in ("reserve", "sale") or teller.context.values.get("wants")
    ):
        return Sight(7, (*cue, *part.cues("collect", "gave")))
    later = part.after.words() if part.after is not None else set()
    if words & {"if", "or", "maybe"} or later & {"if", "or", "maybe"}:
        return None
    seen = teller.context.values.get("person")
    named = (
        words & {"he", "she", "they"}
        and not any(p.cues("hold") for p in part.before_all()[:-1])
        and seen
        and seen not in teller.names.people
        and teller.context.values.get("person_sentence") == part.sentence
    )
    told_of = part.before is not None and part.tags[0].word in _WANTS and _strangers(part.before, teller)
    if (
        (person or named or told_of)
        and words & _WANTS
        and fishy(part)
        and not part.muted
        and not any(t.says("guard", "not") for t in part.tags)
        and not words & {"doesn't want", "any more", "anymore", "longer"}
        and (
            part.kind("day", "num")
            or later & {"reserve", "hold", "keep", "keep them by", "name", "put", "pays", "by"}
            or (part.after is not None and (part.after.cues("hold") or part.after.kind("day", "money")))
        )
    ):
        return Sight(4, tuple(part.cues("collect", "gave")))
    return None


_WANTS = frozenset(["wants", "want", "would like", "coming", "collecting", "after", "asked", "asked for", "ordered"])


def _strangers(part: Part, teller: Teller) -> list[Tag]:
    return [t for t in part.kind("person") if t.value not in teller.names.people]


def _only_wished(group: Group) -> bool:
    """Whether somebody wants fish, and neither a day nor a word says that they are kept for them."""
    firm = group.words() & (KEEPS | {"reserve", "name", "put", "pays", "by", "collecting", "coming", "ordered"})
    return not (group.cues("hold") or group.kind("day", "money") or firm)


_FETCHES = frozenset(
    ["fetch", "fetches", "fetching", "collect", "collects", "collecting", "pick", "picks", "picking", "come", "comes"]
) | frozenset(["coming", "get", "gets", "getting"])


def _fetched_on(group: Group) -> Day | None:
    """The day to come on which a clause after the promise says they are fetched: "…, she'll fetch them on Sunday"."""
    after = group.parts[-1].after
    if after is None or not after.words() & _FETCHES or after.words() & {"if", "maybe", "might", "may", "or"}:
        return None
    days = [t.value for t in after.tags if t.kind == "day" and not t.value.vague and (t.value.offset or 0) >= 0]
    return days[0] if len(days) == 1 else None


_PROMISED = ("reserved", "promised", "booked")


def _days_said(group: Group) -> tuple[Day | None, Day | None]:
    """The day they are to be fetched, and the day they were promised."""
    days = [t for t in group.tags if t.kind == "day" and not t.value.vague]
    promised = any(t.word in _PROMISED for t in group.tags)
    asked = promised or any(t.word in ("asked", "wanted") or t.word.endswith("name down") for t in group.tags)
    day = made = None
    for tag in days:
        n = group._index(tag)
        gone_by = tag.value.offset is not None and tag.value.offset < 0
        if gone_by or (n <= 2 and asked):
            made = tag.value
        elif n and group.tags[n - 1].word in ("than", "not", "of"):
            continue
        elif made is None and day is None and promised and len(days) > 1:
            made = tag.value
        elif day is None:
            day = tag.value
    return day or _fetched_on(group), made


def _line_held(batch: str | None, places: list[str], teller: Teller) -> str | None:
    """The line of a batch, or the only one in a place."""
    if batch in teller.names.batch_of:
        return teller.names.batch_of[str(batch)].line
    held = teller.names.lines_in(places[0]) if places else ()
    return held[0] if len(held) == 1 else None


def _spoken_of(group: Group, teller: Teller) -> str | None:
    """Whom "her" or "them" means: a stranger named before in the sentence."""
    seen = teller.context.values
    her = group.words() & {"her", "him", "them", "he", "she", "they"}
    stranger = seen.get("person") and seen["person"] not in teller.names.people
    return str(seen["person"]) if her and stranger and seen.get("person_sentence") == group.sentence else None


def tell_hold(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "reserve"})
        return
    places = places_told(group)
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    count, keys, odd = fish_count(group)
    line = group.line() or _line_held(batch, places, teller)
    who = buyer(group, teller) or _spoken_of(group, teller)
    day, made = _days_said(group)
    partial = {"kind": "reserve", "buyer": who, "line": line, "count": count}
    last = teller.context.event
    if last is not None and line is None and batch is None and not places:
        if last["kind"] == "sale" and teller.context.sentence == group.sentence:
            line, batch = last.get("line"), last.get("batch")  # "sold 4 gardneri to Mina, kept 2 for Tom"
        elif last["kind"] == "reserve" and count is None:
            _add_to_the_promise(last, who, day)
            return
    if odd:
        teller.ask(group, "How many are to be kept?", "count", partial)
    elif line is None and batch is None and not places:
        teller.ask(group, "Which fish are to be kept?", "line", partial)
    elif count is not None and who is not None and _only_wished(group):
        fish = line or batch or f"of {places[0]}"
        teller.ask(group, f"Keep {count:g} {fish} for {who}?", SURE, {**partial, **keys, "batch": batch}, ("yes", "no"))
    else:
        place = places[0] if places and not batch else None
        raw = teller.tell("reserve", group, count=count, line=line, batch=batch, place=place, buyer=who, **keys)
        raw["_day"], raw["_ahead"], raw["_clock"] = day, True, None
        if made is not None:
            raw["_made"] = made


def _add_to_the_promise(last: Raw, who: str | None, day: Day | None) -> None:
    """ "Promised 4 gardneri. For Mina, on Sunday": for whom and when, where it was not said."""
    for key, value in (("buyer", who), ("_day", day)):
        if value is not None and last.get(key) is None:
            last[key] = value


def sees_release(part: Part, teller: Teller) -> Sight | None:
    cue = part.cues("release")
    named = part.kind("person") or teller.context.values.get("person_sentence") == part.sentence
    if (
        not cue
        and "free" in part.words()
        and part.kind("line")
        and named
        and not part.words() & {"for", "gave"}
        and not part.kind("num", "money")
    ):
        return Sight(6)
    if not cue:
        return None
    person = part.kind("person")
    words = part.words()
    if cue[0].word in (
        "doesn't want",
        "does not want",
        "pulled out",
        "release",
        "not coming for",
        "free again",
    ) and not (person or fishy(part) or teller.context.kind == "release"):
        return None
    if (
        person
        or fishy(part)
        or words & {"lady", "guy", "man", "buyer", "he", "she", "they", "sale", "deal"}
        or teller.context.kind == "release"
    ):
        return Sight(8, (*cue, *part.cues("hold", "sold")))
    return None


def tell_release(group: Group, teller: Teller) -> None:
    previous = teller.context.event
    count, keys, _ = fish_count(group)
    line = group.line()
    batch = group.batches()[0] if len(group.batches()) == 1 else None
    who = buyer(group, teller)
    spoken_of = teller.context.values.get("person")
    if who is None and group.words() & {"he", "she", "him", "her", "his"} and spoken_of not in teller.names.people:
        who = str(spoken_of) if teller.context.values.get("person_sentence") == group.sentence else None
    if count is not None and group.words() & {"only", "just", "wants", "instead"}:
        if previous is not None and previous["kind"] == "release" and who in (None, previous.get("buyer")):
            teller.events = [e for e in teller.events if e is not previous]
        teller.ask(group, "How many are still to be kept?", "count", {"kind": "release", "buyer": who, "line": line})
        return  # "changed his mind, only 6": of how many?
    if previous is not None and previous["kind"] == "release":
        for key, value in (("count", count), ("line", line), ("batch", batch), ("buyer", who)):
            if value is not None and key not in previous:
                previous[key] = int(value) if isinstance(value, float) else value
        return
    if who is None and line is None and batch is None:
        teller.ask(group, "Whose fish are free again?", "buyer", {"kind": "release"})
        return
    raw = teller.tell("release", group, buyer=who, line=line, batch=batch, count=count)
    raw["_day"] = raw["_clock"] = None
    _ = keys
