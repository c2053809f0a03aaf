"""Whether a bare number is a place: by the words beside it, and by what is listed or read there."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bot.language.tags import Tag

if TYPE_CHECKING:
    from bot.language.clauses.group import Group

Said = tuple[str, Any, Tag]  # "P" and places, "B" and a batch, "N" and a number; and the tag that says it

# What a place is or did, behind its number.
_STATES = frozenset(
    ["had", "gave", "was", "is", "has", "got", "at", ":", "both", "reading", "looks", "were", "reads", "now", "=",
     "are", "came", "read", "and", "still", "laid", "went", "is down to", "down to", "rose", "fell", "dropped",
     "climbed", "shows", "showed", "tested", "hit", "stands", "sits", "crept", "jumped"]
)  # fmt: skip
AT = frozenset(
    ["in", "on", "from", "into", "to", "under", "between", "off", "of", "for", "with", "tank", "inside", "out", "at",
     "mop", "mops"]
)  # fmt: skip
# What a bare place may stand behind, where places are listed.
_BEFORE_PLACES = frozenset(
    ["sep", "num", "place", "clock", "day", "pct", "frac", "vol", "amount", "line", "punct", "size", "dur", "person"]
)
_LEADING = frozenset(
    ["and", "&", "did", "dosed", "treated", "salted", "medicated", "hit", "through", "all", "between", "round",
     "around", "each", "then", "plus", "too", "also", "but", "again", "same", "for"]
)  # fmt: skip
_SIGNS = ("cue", "food", "item", "except", "group", "quantity", "substance", "noun")


def before_its_place(group: Group, n: int) -> bool:
    """ "2 in 13": a number counted in the place that follows."""
    tags = group.tags
    inside = n + 2 < len(tags) and tags[n + 1].word in ("in", "from") and _placed(group, tags[n + 2])
    return inside and not (n > 0 and tags[n - 1].word in ("in", "from", "mop", "mops"))


def heads_a_value(tags: list[Tag], n: int) -> bool:
    """Whether a number is the tank of which a reading follows: "…, 14 nitrate 40", "13's at 20"."""
    return _heads_a_reading(tags, n) or _has_what_follows(tags, n)


def read_in_a_tank(group: Group, n: int) -> bool:
    """Whether a number is the reading and the one behind it its tank: "ammonia 1 in 13", "…, 3 in 14"."""
    tags = group.tags
    begins = n > 0 and tags[n].kind == "num" and ("quantity" in tags[n - 1].senses or tags[n - 1].word in (",", "and"))
    behind = tags[n + 1 : n + 3]
    tank = len(behind) == 2 and behind[0].word == "in" and behind[1].kind == "num" and bool(group.ids(behind[1]))
    return begins and tank


def is_value(group: Group, n: int, out: list[Said]) -> bool:
    """Whether a number is a reading itself: a pH, or the second reading of a place."""
    again = any(s[0] == "P" for s in out) and _after_a_change(group, group.tags[n])
    return again or _is_ph(group.tags, n)


def stands_for_place(group: Group, n: int) -> bool:
    """Whether a bare number is a place where places are listed: what was fed, watered or serviced."""
    tags = group.tags
    prev = tags[n - 1].word if n > 0 and tags[n - 1].kind != "place" else ""
    nxt = tags[n + 1].word if n + 1 < len(tags) else ""
    return (
        not group.counts(tags[n])
        and not (prev == "at" or nxt in ("of", "back"))
        and nxt not in ("changes", "times", "feeds", "feedings")
        and not (n + 1 < len(tags) and _counted_thing(tags[n + 1]))
        and _stands(tags, n)
    )


def reads_as_place(group: Group, n: int, mode: str, out: list[Said], nums: list[Tag], first: bool) -> bool:
    """Whether a bare number is the place of what was counted or read, by the words beside it.

    `out` is what was said before it; `first` says that it leads the numbers of a note that names no place.
    """
    tags = group.tags
    prev = tags[n - 1].word if n > 0 and tags[n - 1].kind != "place" else ""
    nxt = tags[n + 1].word if n + 1 < len(tags) else ""
    if prev in ("mop", "mops") and any(s[0] == "P" for s in out):
        return False
    if (
        prev in AT
        and not (prev in ("at", "of", "to", "for", "with") and mode == "value")
        and not (prev == "of" and n > 1 and tags[n - 2].word not in ("out", "outside"))
        and not (prev in ("at", "with", "for") and mode == "count")
    ):
        return True
    if nxt in _STATES and nxt not in ("and", "now") and n + 2 < len(tags) and tags[n + 2].kind not in ("clock", "day"):
        return True
    if (
        out
        and out[-1][0] == "P"
        and out[-1][2].kind == "num"
        and (prev in (",", "and", "&", "plus", "n") or tags[n - 1].kind == "sep")
        and not group.counts(tags[n])
        and _joined(tags, n)
    ):
        return True
    if (nxt in ("and", ",", "&", "plus") and _leads(tags, n)) or (
        nxt in ("mop", "mops") and mode == "count" and len(nums) > 1
    ):
        return True
    return (
        mode == "value"
        and first
        and (n == 0 or tags[n - 1].kind in ("sep", "day", "clock"))
        and not (n > 0 and tags[n - 1].says("quantity"))
    )


def _stands(tags: list[Tag], n: int) -> bool:
    """Whether a bare number stands where a place would: at the head, after "in", in a list, after what was done."""
    if n == 0:
        return True
    prev = tags[n - 1]
    if prev.kind in _BEFORE_PLACES or prev.word in AT or prev.word in _LEADING:
        return True
    return any(prev.senses.get(s) for s in _SIGNS)


def _counted_thing(tag: Tag) -> bool:
    """Whether a word after a number is a thing counted: "6 donuts"."""
    return tag.kind == "word" and len(tag.word) > 3 and tag.word.endswith("s") and not tag.word.endswith(("ss", "'s"))


def _placed(group: Group, tag: Tag) -> bool:
    """Whether a tag names a place, be it by its figure alone."""
    return (tag.kind in ("place", "size") and bool(tag.value)) or (
        tag.kind == "num" and bool(group.place_id(tag)) and not group.counts(tag)
    )


def _heads_a_reading(tags: list[Tag], n: int) -> bool:
    """Whether a number heads a list's item and what was read there: "…, 14 nitrate 40"."""
    if n and tags[n - 1].kind not in ("sep", "day", "clock", "punct") and tags[n - 1].word not in ("and", "&"):
        return False
    said = tags[n + 1 : n + 3]
    return len(said) == 2 and said[0].says("quantity") and said[1].kind in ("num", "deg") and tags[n].low is None


def _has_what_follows(tags: list[Tag], n: int) -> bool:
    """Whether a number owns what follows: "13's at 20"."""
    return [t.word for t in tags[n + 1 : n + 3]] == ["'", "s"] and len(tags) > n + 3


def _after_a_change(group: Group, tag: Tag) -> bool:
    """Whether a number alone is the second reading of one place: "20 before the change and 10 after"."""
    part = next((p for p in group.parts if any(t is tag for t in p.tags)), None)
    if part is None or part.before is None or any(t is not tag for t in part.tags):
        return False
    return "before" in (part.joiner, part.before.joiner)


def _is_ph(tags: list[Tag], n: int) -> bool:
    """Whether a number is the pH itself: "ph 8 at 78F"; "ph 8 is 7.2" is of tank 8."""
    return (
        n > 0
        and tags[n - 1].says("quantity", "ph")
        and tags[n].low is None
        and 3 <= tags[n].value <= 11
        and not any(t.kind == "num" for t in tags[n + 1 : n + 4])
    )


def _joined(tags: list[Tag], n: int) -> bool:
    """Whether a number carries a list of places on (nothing in between but "and" or a comma)."""
    back = n - 1
    while back >= 0 and (tags[back].kind == "sep" or tags[back].word in ("and", ",", "&")):
        back -= 1
    if back < 0 or tags[back].kind != "num" or back >= n - 1:
        return False
    if any(t.word in (":", "=", "(") for t in tags[back + 1 : n]):
        return False  # "1-3: 12, 9": what follows the colon is no more of the list
    closed = back > 1 and tags[back - 1].word in ("and", "&") and tags[back - 2].kind == "num"
    return not (closed and any(t.word in (",", ":", "-") for t in tags[back + 1 : n]))


def _leads(tags: list[Tag], n: int) -> bool:
    """Whether "2 and 3" at the head of a clause leads on to what those places did."""
    m = n
    while m < len(tags) and (tags[m].kind in ("num", "sep") or tags[m].word in ("and", "&", "both")):
        m += 1
    return m < len(tags) and tags[m].word in _STATES and (n == 0 or tags[n - 1].kind in ("sep", "day", "punct"))
