"""Eggs pulled: how many, from where, into what."""

from __future__ import annotations

from bot.language.clauses.group import Group, Raw, paired
from bot.language.eggs.where import breeders
from bot.language.tags import Tag
from bot.language.telling import Teller

_NONE = frozenset(["nothing", "none", "nil", "nada", "zilch"])
_EMPTY = frozenset(["empty", "bare", "clean", *_NONE])


def tell_pull(group: Group, teller: Teller) -> None:
    line = group.line()
    by_line = teller.spots_by_line("pull", [line]) if line else ()
    to = _into(group, teller, by_line)
    if _in_the_peat(group, teller):
        return
    _tanks_in_figures(group, teller)
    _none_found(group)
    seq = group.sequence("count")
    if _eggs_or_tank(group, teller, seq, to, by_line):
        return
    lines = group.lines()
    if group.unknown() is None and len(lines) == 1 and not any(s[0] in "PB" for s in seq) and len(by_line) == 1:
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
        if lines and len(out) == 1 and line:
            raw["line"] = line
        _from_a_tank(raw, group, teller, to)


def _into(group: Group, teller: Teller, by_line: tuple[str, ...]) -> str | None:
    """Where the eggs went; "both in tub D" is said of the pulls before, too."""
    breeding = [t for t in group.kind("place") if t.value and any(breeders(teller, p) for p in t.value)]
    known = breeding or group.kind("size") or len(by_line) == 1 or teller.context.places
    to, tag = _target(group, teller, bool(known or any(t.kind == "num" for t in group.tags)))
    if tag is None:
        return to
    tag.claimed = "to"
    back = group.tags[max(0, group._index(tag) - 3) : group._index(tag)]
    if any(t.word in ("all", "both") for t in back):
        for raw in teller.events:
            along = raw["_group"].sentence == group.sentence or not group.kind("num")
            if raw["kind"] == "pull" and not raw.get("to") and along:
                raw["to"] = to
    return to


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


def _in_the_peat(group: Group, teller: Teller) -> bool:
    """ "took the peat out of 6, about 30 eggs in it": eggs of the peat just told of."""
    last = teller.context.event
    if last is None or last["kind"] != "peat" or teller.context.sentence != group.sentence or not group.noun("eggs"):
        return False
    single = [t for t in group.kind("num") if t.low is None]
    if len(single) == 1:
        last["count"] = int(single[0].value)
    return True


# ---- figures that are tanks


def _tanks_in_figures(group: Group, teller: Teller) -> None:
    """Make places of the bare figures that can be nothing else."""
    tags = [*_empty_mops(group), *_nil_of(group, teller), *_before_no(group, teller), *_tanks_with_many(group, teller)]
    for tag in tags:
        place = group.place_id(tag) if tag.kind == "num" else None
        if place is not None:
            tag.kind, tag.value = "place", (place,)


def _empty_mops(group: Group) -> list[Tag]:
    """ "mops in 5 and 8 empty", "mops 1 2 4 nothing"."""
    words = [t.word for t in group.tags if t.word not in ("again", "agian", "today")]
    if not group.noun("mop") or not (words[-1] in _EMPTY or words[0] in _NONE):
        return []
    figures = [t for t in group.kind("num") if t.low is None]
    plain = not any(group.counts(t) for t in figures) and all(group.place_id(t) for t in figures)
    return figures if plain else []


def _nil_of(group: Group, teller: Teller) -> list[Tag]:
    """ "nil eggs 4 5 8"."""
    said = any(t.word in ("had", "got", "gave", "laid", "has") for t in group.tags)
    opens = group.tags[0].word in ("no", "nil", "none", "zero")
    if not opens or said or not group.noun("eggs") or group.kind("place"):
        return []
    out: list[Tag] = []
    for tag in group.kind("num"):
        nth = group._index(tag)
        near = {t.word for t in group.tags[max(0, nth - 1) : nth + 2]}
        if near & {"only", "from", "off"} and group.tags[nth - 1].word not in ("from", "off"):
            continue  # "no eggs from 4, only five from 1": a count
        where = group.place_id(tag) if nth > 1 else None
        if where and breeders(teller, where) and not group.counts(tag):
            out.append(tag)
    return out


def _before_no(group: Group, teller: Teller) -> list[Tag]:
    """ "5 & 8: no eggs"."""
    none = next((t for t in group.tags if t.word == "no"), None)
    if none is None or not group.noun("eggs") or group.cues("bad", "bad_weak"):
        return []
    ahead = group.tags[: group._index(none)]
    listed = ("num", "sep", "place", "punct", "day")
    if not all(t.kind in listed or t.word in ("and", "&", "in") for t in ahead):
        return []
    figures = [t for t in ahead if t.kind == "num" and t.low is None and not group.counts(t)]
    return [t for t in figures if (place := group.place_id(t)) and breeders(teller, place)]


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


def _none_found(group: Group) -> None:
    """Make a count of none of "no eggs", of a bare mop, and of "nil" before either."""
    no = next((t for t in group.tags if t.word == "no"), None)
    at = ("in", "from", "mop") if no is not None else ()
    counted = [
        t
        for n, t in enumerate(group.tags)
        if t.kind == "num" and not (n and group.tags[n - 1].word in at and group.place_id(t))
    ]
    none = no or next((t for t in group.tags[:1] if t.word == "nil"), None)
    if none is None and group.noun("mop"):
        none = next((t for t in group.tags if t.word in ("empty", "bare")), None)
    if none is not None and not counted and group.noun("eggs", "mop"):
        none.word = "none"


def _eggs_or_tank(
    group: Group, teller: Teller, seq: list[tuple[str, object, Tag]], to: str | None, by_line: tuple[str, ...]
) -> bool:
    """Whether a lone number may be eggs or the tank, and it is asked; "mop 3" names the tank."""
    if group.noun("eggs") or len(seq) != 1 or seq[0][0] != "N" or seq[0][2].kind != "num":
        return False
    tag = seq[0][2]
    place, before = group.place_id(tag), group.before(tag)
    if group.noun("mop") and place and before is not None and before.says("noun", "mop"):
        tag.kind, tag.value = "place", (place,)
        return False
    if teller.context.places or by_line:
        return False
    teller.ask(group, f"{tag.value:g} eggs, or tank {tag.value:g}?", "place", {"kind": "pull", "to": to})
    return True


def _from_a_tank(raw: Raw, group: Group, teller: Teller, to: str | None) -> None:
    """Nothing is pulled from a tub: it is where the eggs went, or it is asked from which tank they came."""
    names = teller.names
    spread = [str(p) for p in raw.get("places") or ()]
    if len(spread) == 2 and not to and [p for p in spread if not breeders(teller, p)] == spread[1:]:
        raw.pop("places")
        raw["place"], raw["to"] = spread  # "20 eggs t3, B"
    place = raw.get("place")
    role = names.place_of[str(place)].role if place in names.place_of else None
    if role not in ("eggs", "fry") or raw not in teller.events or (to and role != "eggs"):
        return
    teller.events.remove(raw)
    source = teller.where(group, "pull")[0] if group.lines() else ()
    if len(source) == 1 and breeders(teller, source[0]):
        raw["place"], raw["to"] = source[0], place
        teller.events.append(raw)
    else:
        teller.ask(group, "From which tank?", "place", {"kind": "pull", "count": raw.get("count"), "to": place})
