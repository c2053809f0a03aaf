"""What a sentence or clause sets for those after it: a day, a clock time, a place, what is being listed."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

from bot.language.kept_out.bystanders import DETERMINERS, SELF, SOMEONES
from bot.language.kept_out.chatter import sounds_like_talk
from bot.language.scene import Context, Part, Sentence
from bot.language.telling import Teller
from bot.language.text.names import Names
from bot.language.times.days import Clock, Day

ABOUT_NOTES = frozenset(
    ["this", "these", "all", "that", "sorry", "late", "catching", "notes", "note", "from", "forgot", "backlog",
     "entries"]
)  # fmt: skip


def day_of(sentence: Sentence, names: Names, heading: bool = False) -> Day | None:
    """The day at the head of a sentence, or the only one in it."""
    days = [
        (n, t)
        for n, t in enumerate(sentence.tags)
        if t.kind == "day" and not t.value.vague and t.note not in ("quoted", "muted")
    ]
    apart = _said_apart(sentence) | _said_in_passing(sentence, names)
    days = [d for d in days if id(d[1]) not in apart]
    if len(sentence.parts) > 1:  # the day a promise is wanted is no day of what is told beside it
        wanted = {id(t) for p in sentence.parts if p.cues("hold") for t in p.tags}
        days = [d for d in days if id(d[1]) not in wanted or d[0] <= 1]
    if not days:
        return None
    n, tag = days[0]
    before = sentence.tags[n - 1].word if n else ""
    if (
        before in ("about", "around", "the", "on")
        and n > 1
        and sentence.tags[n - 2].word in ("since", "until", "by", "from")
    ):
        before = "since"
    if before in ("from", "for") and n <= 6 and sentence.tags[0].word in ABOUT_NOTES and len(sentence.parts) > 0:
        return tag.value  # type: ignore[no-any-return]
    after = sentence.tags[n + 1].word if n + 1 < len(sentence.tags) else ""
    if before == "for" and n == 1 and after in (":", "-"):
        return tag.value  # type: ignore[no-any-return]
    if (
        before in ("since", "until", "by", "for", "before", "than")
        or tag.word.startswith("since")
        or (before == "from" and not heading)
        or tag.value.future
    ):
        return None
    if tag.value.part and n > 3 and sum(1 for t in sentence.tags[:n] if t.kind == "clock") > 1:
        return replace(tag.value, part="")  # type: ignore[no-any-return]  # "at 6:45 and again at 5 this evening"
    its = next((p for p in sentence.parts if any(t is tag for t in p.tags)), None)
    if its is not None and its.before is not None and its.cues("done", "feed", "pull") and its.kind("place"):
        earlier = its.before_all()[:-1]
        if any(p.cues("done", "feed", "pull", "wc") and p.kind("place", "num") for p in earlier):
            return None  # "B and C are done and A I did last night"
    distinct = {t.value for _, t in days}
    if n <= 3 or (len(distinct) == 1 and len(sentence.tags) <= 30):
        return tag.value  # type: ignore[no-any-return]
    return None


def _said_apart(sentence: Sentence) -> set[int]:
    """The days and hours of clauses that did not happen here, or tell of nothing: they are nobody else's."""
    return {id(t) for p in sentence.parts if p.muted and p.muted != "not" for t in p.kind("day", "clock")}


def _said_in_passing(sentence: Sentence, names: Names) -> set[int]:
    """The days of clauses that sound like talk, but for the one a sentence opens with."""
    passing = [p for p in sentence.parts if p.kind("day") and p.tags[0].kind != "day" and sounds_like_talk(p, names)]
    return {id(t) for p in passing for t in p.kind("day")}


def clock_of(sentence: Sentence) -> Clock | None:
    """The clock time at the head of a sentence: "6.45 lights on and temps …"."""
    apart = _said_apart(sentence)
    clocks = [
        (n, t) for n, t in enumerate(sentence.tags) if t.kind == "clock" and t.note != "quoted" and id(t) not in apart
    ]
    if len(clocks) == 1:
        n, tag = clocks[0]
        before = sentence.tags[n - 1].word if n else ""
        if before in ("until", "after", "by", "before"):
            return None
        its = next((p for p in sentence.parts if any(t is tag for t in p.tags)), None)
        if its is not None and its.joiner in ("because", "though", "although", "since") and not its.senses_cue():
            return None  # "… because I am off at seven"
        last = sentence.parts[-1] if len(sentence.parts) > 2 else None
        if (
            n > 4
            and last is not None
            and any(t is tag for t in last.tags)
            and (last.senses_cue() or last.sense("item"))
        ):
            return None  # said of the last thing alone
        return tag.value  # type: ignore[no-any-return]
    return None


def note_heading(sentence: Sentence, teller: Teller, more: bool) -> None:
    """A sentence that logs nothing may head those that follow: a place, a day, or what is to be listed."""
    if not more:
        return
    ctx = teller.context
    words = set(sentence.words())
    lines = [t for t in sentence.tags if t.kind == "line" and len(t.value) == 1]
    if len({t.value for t in lines}) == 1 and not ctx.places:
        ctx.line = lines[0].value[0]
    day = day_of(sentence, teller.names, heading=True)
    clock = clock_of(sentence)
    if sentence.stop in ("\n", "") or len(sentence.tags) <= 6:
        if day is not None and not (words & {"since"}):
            ctx.day = day
            ctx.values["row_header"] = True
        if clock is not None and sentence.tags[0].word not in SELF | SOMEONES | DETERMINERS:
            ctx.clock = clock
            ctx.values["row_header"] = True
        quantity = [t for t in sentence.tags if t.says("quantity")]
        if quantity:
            ctx.quantity = quantity[0].one("quantity")
        for kind, noun in (("pull", "eggs"), ("pull", "mop")):
            if (
                any(t.says("noun", noun) for t in sentence.tags)
                and len(sentence.tags) <= 6
                and not any(t.says("cue", "bad", "eyed", "hatch") for t in sentence.tags)
            ):
                ctx.kind = kind
        if any(t.says("cue", "sold") for t in sentence.tags) and len(sentence.tags) <= 8:
            ctx.kind, ctx.header = "sale", True
        persons = [t for t in sentence.tags if t.kind == "person"]
        if len(persons) == 1 and len(sentence.tags) <= 3:
            ctx.values["head_person"] = persons[0].value
        if any(t.says("unit", "drop") for t in sentence.tags) and len(sentence.tags) <= 3:
            ctx.values["drops"] = True
        if any(t.says("cue", "count") for t in sentence.tags) and len(sentence.tags) <= 6:
            ctx.kind = "headcount"
        if any(t.says("cue", "feed") for t in sentence.tags) and len(sentence.tags) <= 6:
            ctx.kind = "feed"


def note_ahead(part: Part, ctx: Context) -> None:
    """Keep what a clause only mentions for the clause after it: foods, a quantity without its number."""
    foods = part.sense("food") or [t for t in part.tags if t.says("food")]
    if foods:
        ctx.values["food"], ctx.values["food_sentence"] = min(foods[0].senses["food"]), part.sentence
    if part.noun("eggs") and any(
        one.word in ("from", "off") and two.kind == "person" for one, two in pairwise(part.tags)
    ):
        ctx.values["eggs_from"] = part.sentence
    persons = part.kind("person")
    if persons:
        ctx.values["person"], ctx.values["person_sentence"] = persons[0].value, part.sentence
    items = [t for t in part.sense("item") if t.word != "algae"]
    if items:
        ctx.values["item"], ctx.values["item_sentence"] = min(items[0].senses["item"]), part.sentence
    quantity = part.sense("quantity")
    quantity = [t for t in quantity if not t.says("quantity", "length")]
    if quantity and not part.kind("num", "deg") and not part.asks:
        ctx.quantity = quantity[0].one("quantity")
        ctx.values["unread"], ctx.values["unread_quantity"] = part.sentence, quantity[0].one("quantity")
    if (
        part.cues("left", "count")
        and not part.kind("num")
        and re.search(r"\b(left|counted|count|remaining)\b", part.text())
    ):
        ctx.values["left"] = part.sentence
