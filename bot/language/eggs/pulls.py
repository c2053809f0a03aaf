"""Eggs pulled: how many, from where, into what."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from bot.language.clauses.group import Group, paired
from bot.language.eggs.where import breeders, egg_places, eggs_or_mop, left_in, plain_numbers
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller

_INTO = frozenset(
    {
        "into",
        "to",
        "in",
        "went in",
        "went into",
        "put",
        "set up in",
        "set them up in",
        "popped in",
        "moved",
        "tub",
        "inside",
        "under",
    }
)


_RESTS = frozenset(["rest", "rests", "resting", "break", "dry", "drying", "wash", "boil", "bin", "breather"])


def sees_pull(part: Part, teller: Teller) -> Sight | None:
    given = [t for t in part.cues("bought") if t.word in ("gave me", "gave us")]
    if not eggs_or_mop(part) and (
        part.sense("item")
        or part.words() & {"plug", "plant", "plants", "weeds", "hose", "gravel", "rocks", "wood", "rack"}
        or part.words() & {"blind", "blinds", "curtain", "curtains"}
    ):
        return None
    if part.has("laid") and part.noun("male", "female") and not part.noun("eggs"):
        return None
    if part.noun("peat") or part.has("bad", "sold", "hold", "eyed", "hatch", "dead") or part.sense("unit"):
        return None
    if part.has("bought") and not (
        given and part.noun("eggs") and part.kind("line", "place") and not part.kind("money", "person")
    ):
        return None
    if any(
        one.word == "gave" and two.kind == "person" and two.value not in teller.names.people
        for one, two in zip(part.tags, part.tags[1:], strict=False)
    ):
        return None  # eggs given away
    if any(
        one.word in ("from", "off") and two.kind == "person" and two.value not in teller.names.people
        for one, two in zip(part.tags, part.tags[1:], strict=False)
    ):
        return None  # eggs that came from somebody
    cue = part.cues("pull")
    eggs = part.noun("eggs")
    if part.noun("fry") and not eggs and not cue:
        return None  # fry found in the mop
    if not eggs and any(one.word == "no" and two.says("noun", "mop") for one, two in pairwise(part.tags)):
        return None  # "no mop in 3 today": none hangs there, or none was looked at
    if not cue and "brought" in part.words() and part.kind("person"):
        return None  # from their own tank or from elsewhere?
    sent_here = teller.context.values.get("eggs_from")
    if not cue and isinstance(sent_here, int) and sent_here in (part.sentence, part.sentence - 1):
        return None  # "the post brought eggs from Tom. 30 of them …"
    mop = part.noun("mop")
    near = [*part.tags, *(part.before.tags if part.before is not None else [])]
    if (
        not cue
        and any(t.word.startswith("total") for t in near)
        and any((t.kind == "day" and t.value.vague) or t.word.startswith(("week", "month")) for t in near)
    ):
        return None  # a sum over a week is no pull
    if not cue and eggs and part.words() & {"good", "fertile", "viable"} and part.words() & {"are", "were", "look"}:
        return None  # how good they are, not how many were found
    if left_in(part):
        return None
    if mop and part.has("move") and not eggs and not cue:
        return None  # a mop carried elsewhere
    if mop and "out" in part.words() and part.words() & _RESTS and not eggs:
        return None  # "took the mop out of 8 to rest them"
    if (
        cue
        and not eggs
        and not mop
        and part.words() & {"those", "them", "it"}
        and not part.kind("num")
        and teller.context.kind == "bad_eggs"
    ):
        return None
    if cue:
        if (
            part.sense("food")
            or part.kind("culture")
            or (cue[0].word in ("picked", "picking", "collected") and not (eggs or mop or part.kind("place", "num")))
        ):
            return None
        if (
            cue[0].word in ("picked", "picking", "collected", "gathered")
            and not (eggs or mop)
            and (
                teller.context.kind not in ("pull", "")
                or part.words() & {"them", "her", "him", "up"}
                or part.kind("person")
            )
        ):
            return None
        if cue[0].word in ("picked", "picking", "pulling", "pull") and not (
            eggs or mop or plain_numbers(part) or part.kind("place")
        ):
            return None
        return Sight(5 if eggs or mop else 3, (*cue, *eggs, *mop))
    if (
        part.has("left", "count", "move", "start", "wc", "lost", "bad_weak", "clean", "changed", "feed")
        and not (mop and part.kind("num"))
        and not (
            part.has("left", "move", "changed", "clean")
            and eggs
            and plain_numbers(part)
            and not egg_places(part, teller)
        )
    ):
        return None
    none = any(t.word in ("no", "nil") for t in part.tags)
    if eggs and (plain_numbers(part) or none):
        spots = [t for t in part.kind("place") if t.value]
        if (
            spots
            and egg_places(part, teller)
            and not any(breeders(teller, p) for t in spots for p in t.value)
            and not any(_goes_in(part, t) for t in spots)
        ):
            return None
        return Sight(4, (*eggs, *mop))
    if (
        part.kind("line")
        and len(part.tags) <= 3
        and part.kind("num")
        and part.after is not None
        and any(t.word == "into" for t in part.after.tags)
        and part.after.kind("place")
    ):
        return Sight(3)
    if (
        part.has("laid")
        and part.kind("num")
        and not part.asks
        and (part.kind("place", "line", "size") or len(part.kind("num")) > 1)
    ):
        return Sight(4, tuple(part.cues("laid")))
    if _layers_to_egg_tub(part, teller):
        return Sight(5, tuple(part.cues("move", "gave")))
    off = [n for n, t in enumerate(part.tags) if t.word == "off" and n and n + 1 < len(part.tags)]
    if (
        len(off) == 1
        and part.tags[off[0] - 1].kind == "num"
        and part.tags[off[0] + 1].kind in ("place", "num")
        and not part.kind("line", "batch", "person", "money", "pct")
        and any(t.says("noun", "eggs", "mop") and t.note != "muted" for t in teller.all_tags)
    ):
        return Sight(3)  # "…eggs…: thirty one off tank 2"
    if mop and part.words() & _LOOKS and not eggs and all(_names_tank(part, t) for t in part.kind("num")):
        return None  # "the mop in 4 looks ratty"
    if mop and part.words() & {"tied", "retied", "trimmed", "knotted", "untangled", "weighted", "combed", "sank"}:
        return None  # "tied up the mop in 3"
    if mop and not part.cues("mop_in") and (plain_numbers(part) or part.has("done") or part.kind("place")):
        return Sight(3, tuple(mop))
    if (
        eggs
        and part.words()
        & {
            "laid",
            "layed",
            "dropped",
            "produced",
            "yielded",
            "gave",
            "gave me",
            "gave us",
            "gives",
            "got",
            "loads",
            "lots",
            "tons",
            "few",
            "some",
            "bunch",
            "handful",
        }
        and part.kind("place", "line", "size", "num")
    ):
        return Sight(3, tuple(eggs))
    return None


def _layers_to_egg_tub(part: Part, teller: Teller) -> bool:
    """Whether a bare number went from a tank that lays into a tub of eggs: "t1 28 > A", "got 7 from 4 into C"."""
    if part.kind("batch", "person", "money") or part.noun(
        "fry", "male", "female", "adults", "juveniles", "pair", "trio"
    ):
        return False
    tags = part.tags
    spots: list[tuple[int, str]] = []
    counts = 0
    for n, tag in enumerate(tags):
        back = tags[n - 1].word if n else ""
        if tag.kind == "place":
            if len(tag.value) != 1:
                return False
            spots.append((n, tag.value[0]))
        elif tag.kind == "num":
            its = teller.names.by_id.get(f"{tag.value:g}", ())
            if back in ("from", "off", "out of") and len(its) == 1:
                spots.append((n, its[0]))
            else:
                counts += 1
    if len(spots) != 2 or counts != 1 or not any(t.word in ("to", "into", "in") for t in tags[: spots[1][0]]):
        return False
    source, target = spots[0][1], spots[1][1]
    brief = len(tags) <= 6 or any(t.word in ("from", "off", "out of") for t in tags[: spots[0][0]])
    return brief and breeders(teller, source) and teller.names.place_of[target].role == "eggs"


_NONE = frozenset(["nothing", "none", "nil", "nada", "zilch"])
_EMPTY = frozenset(["empty", "bare", "clean", *_NONE])
_LOOKS = frozenset("looks look looking needs need getting falling manky ratty tatty filthy fraying shedding".split())  # noqa: SIM905


def _names_tank(part: Part, tag: Tag) -> bool:
    """Whether a number stands where a tank's does: "in 4"."""
    n = part.tags.index(tag)
    return bool(n) and part.tags[n - 1].word in ("in", "from", "mop", "tank", "of")


def _goes_in(part: Part, tag: Tag) -> bool:
    n = next(i for i, t in enumerate(part.tags) if t is tag)
    back = [t.word for t in part.tags[max(0, n - 2) : n]]
    return any(w in ("into", "to") for w in back)


def _target(group: Group, teller: Teller, sources: bool) -> tuple[str | None, Tag | None]:
    """Where eggs or fish went: the place after "into" or "to", or a tub once the source is known."""
    tags = group.tags
    for n, tag in enumerate(tags):
        if tag.kind != "place" or not tag.value or len(tag.value) != 1 or tag.claimed:
            continue
        back = [t.word for t in tags[max(0, n - 3) : n]]
        near = back[-1] if back else ""
        if near in ("into", "to", "->", ">") or (len(back) > 1 and near in ("the", ":") and back[-2] in ("into", "to")):
            return tag.value[0], tag
        if sources and near in ("in", "inside", "are in") and not breeders(teller, tag.value[0]):
            return tag.value[0], tag
        if (
            sources
            and not breeders(teller, tag.value[0])
            and (n == len(tags) - 1 or near in ("in", "went into", "went in", "put", ":", "-"))
        ):
            return tag.value[0], tag
    return None, None


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


_MANY = frozenset("lots loads tons heaps plenty many some few masses piles".split())  # noqa: SIM905


def _tanks_with_many(group: Group, teller: Teller) -> list[Tag]:
    """The tanks in "pulled 2 and 3, lots of eggs": numbers side by side after the pull, and eggs nobody counted."""
    cue, after = group.cues("pull"), group.parts[-1].after
    nums = [t for t in group.tags if t.kind == "num"]
    tags = [*group.tags, *(after.tags if after is not None and not group.noun("eggs") else [])]
    eggs = [n for n, t in enumerate(tags) if t.says("noun", "eggs")]
    if not cue or not eggs or len(nums) < 2 or any(t.low is not None for t in nums):
        return []
    first, last = group._index(nums[0]), group._index(nums[-1])
    between = all(t.kind in ("num", "sep", "punct") or t.word in ("and", "&") for t in group.tags[first:last])
    vague = tags[last + 1 : eggs[0]]
    if any(t.kind == "num" for t in tags[len(group.tags) :]) or not any(t.word in _MANY for t in vague):
        return []
    if not between or group._index(cue[0]) != first - 1:
        return []
    return nums if all((p := group.place_id(t)) and breeders(teller, p) for t in nums) else []


def tell_pull(group: Group, teller: Teller) -> None:
    names = teller.names
    sources = [t for t in group.kind("place") if t.value and any(breeders(teller, p) for p in t.value)] or group.kind(
        "size"
    )
    line = group.line()
    by_line = teller.spots_by_line("pull", [line]) if line else ()
    held = bool(sources) or len(by_line) == 1 or any(t.kind == "num" for t in group.tags) or bool(teller.context.places)
    to, tag = _target(group, teller, held)
    if tag is not None:
        tag.claimed = "to"
        back = group.tags[max(0, group._index(tag) - 3) : group._index(tag)]
        if any(t.word in ("all", "both") for t in back):
            for raw in teller.events:
                along = raw["_group"].sentence == group.sentence or not group.kind("num")
                if raw["kind"] == "pull" and not raw.get("to") and along:
                    raw["to"] = to
    last = teller.context.event
    if last is not None and last["kind"] == "peat" and teller.context.sentence == group.sentence and group.noun("eggs"):
        single = [t for t in group.kind("num") if t.low is None]
        if len(single) == 1:
            last["count"] = int(single[0].value)
        return
    words = [t.word for t in group.tags if t.word not in ("again", "agian", "today")]
    if group.noun("mop") and (words[-1] in _EMPTY or words[0] in _NONE):
        figures = [t for t in group.kind("num") if t.low is None]
        if figures and not any(group.counts(t) for t in figures) and all(group.place_id(t) for t in figures):
            for tag in figures:  # "mops in 5 and 8 empty", "mops 1 2 4 nothing"
                tag.kind, tag.value = "place", (group.place_id(tag),)
    none = next((t for t in group.tags if t.word == "no"), None)
    if (
        group.tags[0].word in ("no", "nil", "none", "zero")
        and group.noun("eggs")
        and not group.kind("place")
        and not any(t.word in ("had", "got", "gave", "laid", "has") for t in group.tags)
    ):
        for tag in group.kind("num"):  # "nil eggs 4 5 8"
            nth = group._index(tag)
            near = {t.word for t in group.tags[max(0, nth - 1) : nth + 2]}
            if near & {"only", "from", "off"} and group.tags[nth - 1].word not in ("from", "off"):
                continue  # "no eggs from 4, only five from 1": a count
            where = group.place_id(tag) if nth > 1 else None
            if where and breeders(teller, where) and not group.counts(tag):
                tag.kind, tag.value = "place", (where,)
    if none is not None and group.noun("eggs") and not group.cues("bad", "bad_weak"):
        for tag in group.tags[: group._index(none)]:  # "5 & 8: no eggs"
            here = group.place_id(tag) if tag.kind == "num" and tag.low is None and not group.counts(tag) else None
            if (
                here
                and breeders(teller, here)
                and all(
                    t.kind in ("num", "sep", "place", "punct", "day") or t.word in ("and", "&", "in")
                    for t in group.tags[: group._index(none)]
                )
            ):
                tag.kind, tag.value = "place", (here,)
    for tag in _tanks_with_many(group, teller):  # "pulled 2 and 3, lots of eggs"
        tag.kind, tag.value = "place", (group.place_id(tag),)
    nums = [
        t
        for n, t in enumerate(group.tags)
        if t.kind == "num"
        and not (none is not None and n and group.tags[n - 1].word in ("in", "from", "mop") and group.place_id(t))
    ]
    none = none or next((t for t in group.tags[:1] if t.word == "nil"), None)
    none = none or (next((t for t in group.tags if t.word in ("empty", "bare")), None) if group.noun("mop") else None)
    if none is not None and not nums and group.noun("eggs", "mop"):
        none.word = "none"
    group_lines = group.lines()
    seq = group.sequence("count")
    nouns = bool(group.noun("eggs"))
    if (
        not nouns
        and any(s[0] == "N" for s in seq) is not False
        and len(seq) == 1
        and seq[0][0] == "N"
        and seq[0][2].kind == "num"
    ):
        place = group.place_id(seq[0][2])
        prev = group.before(seq[0][2])
        if group.noun("mop") and place and prev is not None and prev.says("noun", "mop"):
            seq[0][2].kind, seq[0][2].value = "place", (place,)
        elif not teller.context.places and not by_line:
            teller.ask(
                group, f"{seq[0][2].value:g} eggs, or tank {seq[0][2].value:g}?", "place", {"kind": "pull", "to": to}
            )
            return
    if group.unknown() is None and len(group_lines) == 1 and not any(s[0] in "PB" for s in seq) and len(by_line) == 1:
        pairs = paired(seq)
        if len(pairs) == 1:
            count = None if pairs[0][2] is ... else pairs[0][2]
            teller.tell("pull", group, place=by_line[0], count=count, line=line, to=to)
            return
    out = teller.counted(group, "pull", many=True, to=to)
    for raw in list(out):
        if raw.get("batch") and not raw.get("place") and raw in teller.events:
            teller.events.remove(raw)  # eggs come from a tank, never from a batch of eggs
            out.remove(raw)
            teller.ask(group, "From which tank?", "place", {"kind": "pull", "count": raw.get("count"), "to": to})
    for raw in out:
        if group_lines and len(out) == 1 and line:
            raw["line"] = line
        spread = [str(p) for p in raw.get("places") or ()]
        if len(spread) == 2 and not to and [p for p in spread if not breeders(teller, p)] == spread[1:]:
            raw.pop("places")
            raw["place"], raw["to"] = spread  # "20 eggs t3, B": nothing is pulled from a tub
        place = raw.get("place")
        if (
            place in names.place_of
            and names.place_of[str(place)].role in ("eggs", "fry")
            and raw in teller.events
            and (not to or names.place_of[str(place)].role == "eggs")
        ):
            teller.events.remove(raw)
            source = teller.where(group, "pull") if group_lines else ((), "")
            if len(source[0]) == 1 and breeders(teller, source[0][0]):
                raw["place"], raw["to"] = source[0][0], place
                teller.events.append(raw)
            else:
                teller.ask(group, "From which tank?", "place", {"kind": "pull", "count": raw.get("count"), "to": place})
