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


def query_of(tags: list[Tag], teller: Teller, parts: list[Part]) -> Query | None:
    """The question a stretch of tags asks; None when it asks nothing the room can answer."""
    if not any(t.kind == "place" for t in tags):
        _tank_of_its_role(tags, teller)
    tested = ("ammonia", "nitrite", "nitrate")
    text = " ".join(t.one("quantity") or "" if t.says("quantity", *tested) else t.word for t in tags)
    about = topic_of(_in_full(tags, teller)) or about_of(text, tags, teller)
    if about != "calc" and not any(t.kind in ("place", "batch", "size") for t in tags):
        _tanks_asked_of(tags, teller)
    bare = [t for t in tags if t.kind == "num" and t.low is None]
    if (
        about in (None, "place")
        and not any(t.kind in ("place", "batch", "size") for t in tags)
        and len(bare) == 1
        and len(tags) <= 7
        and Group([Part(tags, "", 0, 0)], teller.names, teller.context).place_id(bare[0])
    ):
        bare[0].kind, bare[0].value = "place", teller.names.by_id[f"{bare[0].value:g}"]
        about = "place"  # "how's 7 doing"
    if about == "place" and len(tags) <= 3 and any(t.says("substance") for t in tags):
        about = "dose"  # "salt 15?"
    if about in (None, "place") and any(t.kind == "culture" for t in tags):
        about = "culture"
    if about in ("due", "history") and len(bare) == 1 and not any(t.kind in ("place", "batch") for t in tags):
        at = tags.index(bare[0])
        opens = at == 0 and len(tags) == 2
        if opens or (at and tags[at - 1].word in ("for", "in", "of", "on", "about") and at == len(tags) - 1):
            named_so = teller.names.by_id.get(f"{bare[0].value:g}", ())
            if len(named_so) == 1:  # "due for 13"
                bare[0].kind, bare[0].value = "place", named_so
    if about is None:
        return None
    if about == "hatch" and not any(t.kind in ("place", "batch", "line") for t in tags):
        _tub_of_its_letter(tags, teller)
    names = teller.names
    if (
        about == "last"
        and len(bare) == 1
        and tags[-1] is bare[0]
        and not any(t.kind in ("place", "batch") for t in tags)
    ):
        named = Group([Part(tags, "", 0, 0)], names, teller.context).place_id(bare[0])
        if named:  # "last wc 13?"
            bare[0].kind, bare[0].value = "place", (named,)
    group = Group([Part(tags, "", 0, 0)], names, teller.context)
    if group.unknown() is not None and about not in ("calc", "help"):
        teller.ask_place(group, {"kind": "question"})
        return None
    for one, two in pairwise(tags):
        if one.kind == "person" and one.word.endswith("'s") and one.value not in names.people and two.kind == "place":
            two.kind = "word"  # somebody else's tank
    seq = group.sequence("value")
    places = [p for k, v, _ in seq if k == "P" for p in v]
    if not places and not _batches_named(tags) and not any(t.says("quantity") for t in tags):
        for one, two in pairwise(tags):
            if (
                two.kind == "num"
                and one.word in ("was", "is", "are", "were", "how's", "what's")
                and (here := group.place_id(two))
            ):
                places = [here]  # "how warm was 7 on Monday"
    place = places[0] if len(dict.fromkeys(places)) == 1 else None
    batches = group.batches()
    batch = batches[0] if len(batches) == 1 else None
    lines = group.lines()
    line = lines[0] if len(lines) == 1 else None
    if (
        lines
        and places
        and not any(
            (k == "P" and t.kind in ("place", "num", "size")) or t.says("noun", "tank") for k, _, t in seq if k == "P"
        )
    ):
        places, place = [], None
    if about in ("calc",):
        batch = line = None
        place = places[0] if len(places) == 1 and any(t.kind == "place" and t.note != "bare" for t in tags) else None
    if place and line and set(names.lines_in(place)) == {line} and about not in ("place",):
        line = None
    if batch and line and names.batch_of[batch].line == line:
        line = None
    if about == "place" and batch and not place:
        about = "batch"
    if about == "place" and line and not place:
        held = [p.name for p in names.places if p.line == line and p.role == "breeders"]
        its = [p.name for p in names.places if line in names.lines_in(p.name)]
        if len(its) == 1 and held == its:
            place = its[0]
    culture = next((t.value for t in tags if t.kind == "culture"), None)
    if culture is None and about in ("culture", "last", "due"):
        for tag in tags:
            if tag.says("food"):
                for head, ids in names.culture_ids.items():
                    if any(head.rstrip("s") == f.rstrip("s") for f in tag.senses["food"]) and len(ids) == 1:
                        culture = next(iter(ids.values()))
    quantity = next(
        (t.one("quantity") for t in tags if t.says("quantity") and not (t.says("quantity", "length"))), None
    )
    if quantity is None and re.search(r"\bhow (warm|hot|cold|cool)\b", text):
        quantity = "temperature"
    person = next((t.value for t in tags if t.kind == "person" and t.value not in names.people), None)
    if person is None and about in ("stock", "history", "last", "totals", "due"):
        person = next((t.word.capitalize() for t in tags if _strange(t)), None)
    if about in ("batch", "hatch", "due", "ready") and not (place or batch or line) and _peat_named(tags):
        bags = [b.name for b in names.batches if b.stage == "eggs" and b.place not in names.place_of]
        batch = bags[0] if len(bags) == 1 else None
    date: dt.date | None = None
    days: int | None = None
    for tag in tags:
        if tag.kind == "day":
            if tag.value.vague:
                if tag.word.split()[0] in ("this", "next", "last", "coming", "past"):
                    days = 7 if "week" in " ".join(_words_after(tags, tag)) or _is_week(tag, teller) else days
            else:
                ahead = about in ("due", "hatch", "ready")
                found = tag.value.on(teller.sent, ahead)
                if found and found != teller.sent.date():
                    date = found
    if (
        re.search(r"\b(this|coming|next|the) (coming )?week\b|\bfor the week\b|\bweek ahead\b|\b7 days\b", text)
        and about == "due"
    ):
        days = 7
    for tag in tags:
        if tag.kind == "dur" and about in ("due", "totals", "history") and tag.low is None:
            days = int(tag.value * {"day": 1, "week": 7, "month": 30, "year": 365}.get(tag.unit, 0)) or days
    if about == "history" and not (place or batch or line) and re.match(r"^(?:did|has|have|was|were)\b", text):
        place = _bare_place(tags, teller)
    return Query(about, place, batch, line, culture, quantity, person, date, days, _given(tags, teller))


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
