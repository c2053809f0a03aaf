"""Makes a question of its words: what it is about, and the place, batch, line, person, day and figures it names."""

from __future__ import annotations

import datetime as dt
import re
from itertools import pairwise

from bot.language.asking.asked_about import about_of
from bot.language.asking.unmarked import topic_of
from bot.language.clauses.group import Group
from bot.language.reading import Query
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.everyday import is_everyday
from bot.language.times.days import MONTHS


def _batches_named(tags: list[Tag]) -> bool:
    return any(t.kind == "batch" for t in tags)


_BEFORE_A_TANK = frozenset(
    ["in", "for", "of", "from", "about", "treat", "dose", "feed", "fed", "treated", "dosed", "give"]
)


def _tanks_asked_of(tags: list[Tag], teller: Teller) -> None:
    """Make places of bare numbers that can be nothing else: "how much salt for 15", "what temp is 10 at"."""
    group = Group([Part(tags, "", 0, 0)], teller.names, teller.context)
    tested = any(t.says("quantity") for t in tags)
    for n, tag in enumerate(tags):
        if tag.kind != "num" or tag.low is not None or not n:
            continue
        before, after = tags[n - 1].word, tags[n + 1] if n + 1 < len(tags) else None
        subject = before in ("is", "are", "was", "does", "did", "has") and (
            not tested or (after and after.word == "at")
        )
        end = after is None or after.kind in ("day", "clock", "punct") or after.word in ("at", "yet", "now", "with")
        if (subject or (before in _BEFORE_A_TANK and end)) and (place := group.place_id(tag)):
            tag.kind, tag.value = "place", (place,)


def _tub_of_its_letter(tags: list[Tag], teller: Teller) -> None:
    """Make a place of a letter that hatches: "when does A hatch", "will a hatch tomorrow"."""
    for before, tag, after in zip(tags, tags[1:], tags[2:], strict=False):
        its = teller.names.by_id.get(tag.word, ()) if len(tag.word) == 1 and tag.word.isalpha() else ()
        if len(its) == 1 and before.word in ("does", "do", "will", "did", "should") and after.says("cue", "hatch"):
            tag.kind, tag.value = "place", its


def _tank_of_its_role(tags: list[Tag], teller: Teller) -> None:
    """Make a place of the one tank that has a role: "anything in quarantine"."""
    for one, tag in pairwise(tags):
        its = teller.names.with_role("quarantine") if tag.says("role", "quarantine") else ()
        if len(its) == 1 and one.word in ("in", "the", "of", "from", "for", "is", "with"):
            tag.kind, tag.value = "place", tuple(its)


def query_of(tags: list[Tag], teller: Teller, parts: list[Part], about: str | None = None) -> Query | None:
    """The question a stretch of tags asks; None when it asks nothing the room can answer.

    `about`: what it is about, where that is known otherwise than by its words.
    """
    if not any(t.kind == "place" for t in tags):
        _tank_of_its_role(tags, teller)
    tested = ("ammonia", "nitrite", "nitrate")
    text = " ".join(t.one("quantity") or "" if t.says("quantity", *tested) else t.word for t in tags)
    about = about or _about(text, tags, teller)
    if about is None:
        return None
    _tank_of_its_figure(about, tags, teller)
    group = _as_group(tags, teller)
    if group.unknown() is not None and about not in ("calc", "help"):
        teller.ask_place(group, {"kind": "question"})
        return None
    _tanks_of_others(tags, teller)
    place, batch, line = _named(about, group, teller)
    if about == "place" and not place:
        about = "batch" if batch else about
        place = _home_of(line, teller) if line and not batch else None
    culture, quantity, person = _culture(about, tags, teller), _quantity(text, tags), _person(about, tags, teller)
    if about in ("batch", "hatch", "due", "ready") and not (place or batch or line) and _peat_named(tags):
        batch = _one(
            [b.name for b in teller.names.batches if b.stage == "eggs" and b.place not in teller.names.place_of]
        )
    date, days = _date(about, tags, teller), _days(about, text, tags, teller)
    if about == "history" and not (place or batch or line) and re.match(r"^(?:did|has|have|was|were)\b", text):
        place = _bare_place(tags, teller)
    return Query(about, place, batch, line, culture, quantity, person, date, days, _given(tags, teller))


def _as_group(tags: list[Tag], teller: Teller) -> Group:
    return Group([Part(tags, "", 0, 0)], teller.names, teller.context)


def _one(found: list[str]) -> str | None:
    return found[0] if len(found) == 1 else None


def _figure(tags: list[Tag]) -> Tag | None:
    """The only bare number of a question."""
    bare = [t for t in tags if t.kind == "num" and t.low is None]
    return bare[0] if len(bare) == 1 else None


def _about(text: str, tags: list[Tag], teller: Teller) -> str | None:
    """What a question is about, by its words or else by what it names."""
    about = topic_of(_in_full(tags, teller)) or about_of(text, tags, teller)
    placed = any(t.kind in ("place", "batch", "size") for t in tags)
    if about != "calc" and not placed:
        _tanks_asked_of(tags, teller)
    if about in (None, "place") and _asked_by_figure(tags, teller):
        about = "place"
    if about == "place" and len(tags) <= 3 and any(t.says("substance") for t in tags):
        about = "dose"  # "salt 15?"
    if about in (None, "place") and any(t.kind == "culture" for t in tags):
        about = "culture"
    return about


def _asked_by_figure(tags: list[Tag], teller: Teller) -> bool:
    """Make a place of the one number of "how's 7 doing"."""
    bare = _figure(tags)
    if bare is None or len(tags) > 7 or any(t.kind in ("place", "batch", "size") for t in tags):
        return False
    if not _as_group(tags, teller).place_id(bare):
        return False
    bare.kind, bare.value = "place", teller.names.by_id[f"{bare.value:g}"]
    return True


def _tank_of_its_figure(about: str, tags: list[Tag], teller: Teller) -> None:
    """Make a place of the letter or the number a question of its kind ends with: "due for 13", "last wc 13"."""
    if any(t.kind in ("place", "batch") for t in tags):
        return
    if about == "hatch" and not any(t.kind == "line" for t in tags):
        _tub_of_its_letter(tags, teller)
    bare = _figure(tags)
    if bare is None:
        return
    if about in ("due", "history"):
        at = tags.index(bare)
        opens = at == 0 and len(tags) == 2
        closes = at and tags[at - 1].word in ("for", "in", "of", "on", "about") and at == len(tags) - 1
        its = teller.names.by_id.get(f"{bare.value:g}", ())
        if (opens or closes) and len(its) == 1:
            bare.kind, bare.value = "place", its
    elif about == "last" and tags[-1] is bare and (named := _as_group(tags, teller).place_id(bare)):
        bare.kind, bare.value = "place", (named,)


def _tanks_of_others(tags: list[Tag], teller: Teller) -> None:
    """Make no place of somebody else's tank: "how is Ana's tank 3"."""
    for one, two in pairwise(tags):
        others = one.kind == "person" and one.word.endswith("'s") and one.value not in teller.names.people
        if others and two.kind == "place":
            two.kind = "word"


def _named(about: str, group: Group, teller: Teller) -> tuple[str | None, str | None, str | None]:
    """The one place, batch and line a question names; no line that its place or batch says already."""
    names, places = teller.names, _places(group)
    if about == "calc":
        own = any(t.kind == "place" and t.note != "bare" for t in group.tags)
        return (_one(places) if own else None), None, None
    place = _one(list(dict.fromkeys(places)))
    batch, line = _one(list(group.batches())), _one(list(group.lines()))
    said = place is not None and about != "place" and set(names.lines_in(place)) == {line}
    if said or (batch and names.batch_of[batch].line == line):
        line = None
    return place, batch, line


def _places(group: Group) -> list[str]:
    """The places a question names; none where only its fish do."""
    tags, seq = group.tags, [s for s in group.sequence("value") if s[0] == "P"]
    if group.lines() and not any(t.kind in ("place", "num", "size") or t.says("noun", "tank") for _, _, t in seq):
        return []
    places = [p for _, v, _ in seq for p in v]
    if places or _batches_named(tags) or any(t.says("quantity") for t in tags):
        return places
    for one, two in pairwise(tags):
        is_so = two.kind == "num" and one.word in ("was", "is", "are", "were", "how's", "what's")
        if is_so and (here := group.place_id(two)):
            places = [here]  # "how warm was 7 on Monday"
    return places


def _home_of(line: str, teller: Teller) -> str | None:
    """The tank of a line's breeders, when the line is in no other."""
    places = teller.names.places
    held = [p.name for p in places if p.line == line and p.role == "breeders"]
    its = [p.name for p in places if line in teller.names.lines_in(p.name)]
    return _one(its) if held == its else None


def _culture(about: str, tags: list[Tag], teller: Teller) -> str | None:
    """The culture named, or the only one of a food named: "when were the microworms last fed"."""
    named: str | None = next((t.value for t in tags if t.kind == "culture"), None)
    if named is not None or about not in ("culture", "last", "due"):
        return named
    only = [
        next(iter(ids.values()))
        for t in tags
        if t.says("food")
        for head, ids in teller.names.culture_ids.items()
        if len(ids) == 1 and head.rstrip("s") in [f.rstrip("s") for f in t.senses["food"]]
    ]
    return only[-1] if only else None


def _quantity(text: str, tags: list[Tag]) -> str | None:
    """The reading asked for; "how warm" asks for the temperature."""
    said = next((t.one("quantity") for t in tags if t.says("quantity") and not t.says("quantity", "length")), None)
    return (
        "temperature"
        if said is None and re.search(r"\bhow (warm|hot|cold|cool)\b|\b(warm|hott|cold|cool)er\b", text)
        else said
    )


def _person(about: str, tags: list[Tag], teller: Teller) -> str | None:
    """Somebody from outside the room who is named, be it by a word nobody knows."""
    known: str | None = next((t.value for t in tags if t.kind == "person" and t.value not in teller.names.people), None)
    if known is not None or about not in ("stock", "history", "last", "totals", "due"):
        return known
    return next((t.word.capitalize() for t in tags if _strange(t)), None)


def _date(about: str, tags: list[Tag], teller: Teller) -> dt.date | None:
    """The last day named that is not today."""
    ahead = about in ("due", "hatch", "ready")
    days = [t.value.on(teller.sent, ahead) for t in tags if t.kind == "day" and not t.value.vague]
    return next((d for d in reversed(days) if d and d != teller.sent.date()), None)


_A_WEEK = re.compile(
    r"\b(this|coming|next|the) (coming )?week\b|\bfor the week\b|\bweek (ahead|due)\b|\bdue week\b|\b7 days\b"
)


def _days(about: str, text: str, tags: list[Tag], teller: Teller) -> int | None:
    """How many days a question is of: "due this week", "deaths in the last 3 weeks"."""
    days: int | None = None
    for tag in tags:
        opens = tag.kind == "day" and tag.value.vague and tag.word.split()[0]
        weekly = opens in ("this", "next", "last", "coming", "past")
        if weekly and ("week" in " ".join(_words_after(tags, tag)) or _is_week(tag, teller)):
            days = 7
    if about == "due" and _A_WEEK.search(text):
        days = 7
    for tag in tags if about in ("due", "totals", "history") else ():
        if tag.kind == "dur" and tag.low is None:
            days = int(tag.value * {"day": 1, "week": 7, "month": 30, "year": 365}.get(tag.unit, 0)) or days
    return days


def _bare_place(tags: list[Tag], teller: Teller) -> str | None:
    """The one place a bare number can be in "did I feed 13 today"; a number of something is none."""
    found: list[str] = []
    for n, tag in enumerate(tags):
        after = tags[n + 1] if n + 1 < len(tags) else None
        counted = after is not None and (after.kind in ("line", "batch") or after.says("noun") or after.word == "times")
        if tag.kind == "num" and tag.low is None and not counted:
            found += teller.names.by_id.get(f"{tag.value:g}", ())
    return found[0] if len(found) == 1 else None


def _peat_named(tags: list[Tag]) -> bool:
    return any(t.says("noun", "peat") for t in tags)


def _strange(tag: Tag) -> bool:
    """Whether a word is neither English nor the trade's: in a question of what was promised, somebody's name."""
    return (
        tag.kind == "word"
        and not tag.note
        and len(tag.word) > 2
        and tag.word.isalpha()
        and tag.word not in MONTHS
        and not is_everyday(tag.word)
    )


def _in_full(tags: list[Tag], teller: Teller) -> str:
    """The words of a stretch as they were written, numbers in figures."""
    out = []
    for tag in tags:
        words = [teller.words_at(n) for n in range(tag.at, tag.upto)]
        out.append(" ".join("percent" if w == "%" else w for w in words) if any(words) else tag.word)
    return " ".join(out)


def _words_after(tags: list[Tag], tag: Tag) -> list[str]:
    n = next(i for i, t in enumerate(tags) if t is tag)
    return [t.word for t in tags[n : n + 2]]


def _is_week(tag: Tag, teller: Teller) -> bool:
    return tag.upto - tag.at == 2 and teller.words_at(tag.upto - 1) == "week"


def _given(tags: list[Tag], teller: Teller) -> dict[str, float | str]:
    """Readings, amounts, volumes and temperatures the question itself names."""
    out: dict[str, float | str] = {}
    last: str | None = None
    pending: float | None = None
    for before, tag in zip([None, *tags], tags, strict=False):
        if tag.says("quantity"):
            last = tag.one("quantity")
            beside = before is not None and (before.kind == "num" or before.word in ("ppm", "of", "mg/l", "the"))
            pending = pending if beside else None  # "what percent for 13 if nitrate is 40"
            if pending is not None and last and last not in out:
                out[last] = pending
                pending = None
                last = None
        elif tag.kind == "deg" and tag.low is None:
            celsius = tag.unit == "c" or (tag.unit != "f" and (teller.names.metric or tag.value <= 40))
            out["temperature"] = round(tag.value if celsius else (tag.value - 32) * 5 / 9, 1)
        elif tag.kind == "vol" and tag.value is not None and tag.low is None:
            out["litres"] = round(float(tag.value), 2)
        elif tag.kind == "pct" and tag.low is None:
            out["percent"] = tag.value
        elif tag.kind == "frac":
            out["percent"] = round(tag.value, 1)
        elif tag.kind == "len" and tag.low is None:
            out["length"] = round(tag.value, 1)
        elif tag.kind == "amount" and tag.low is None:
            out["amount"], out["unit"] = tag.value, tag.unit
        elif tag.kind == "num" and tag.low is None and not (before and before.word == "in"):  # "nitrate in 14 ok?"
            if last is not None:
                value = float(tag.value)
                if last == "temperature" and not teller.names.metric and value > 40:
                    value = round((value - 32) * 5 / 9, 1)
                out[last] = value
                last = None
            else:
                pending = float(tag.value)
        if tag.says("substance"):
            out["substance"] = tag.one("substance") or ""
    return out
