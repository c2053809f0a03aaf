"""Units said once and meant again: "nine gallons out of 14 and six out of 13", "E 50 %, F 50"."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bot.language.tags.tag import Tag
    from bot.language.text.figures import Item
    from bot.language.text.names import Names

_JOINS = frozenset({"and", ",", "&", "then", "plus", "n", "but"})
_FROM = frozenset({"out", "of", "from", "in", "on", "off", "for", "into", "to"})
_BETWEEN = frozenset(
    {"a", "an", "had", "got", "gets", "get", "about", "just", "only", "by", "with", "was", ":", "-", "~"}
)


def carry_units(tags: list[Tag], items: list[Item], names: Names) -> None:
    """Give a bare number the unit of the amount it stands beside in the same row of places and amounts."""
    last: Tag | None = None
    order = ""
    for n, tag in enumerate(tags):
        if tag.kind == "stop":
            last = None
        elif tag.kind in ("pct", "vol", "frac", "amount") and tag.low is None and tag.value is not None:
            before, after = _place_before(tags, n, names), _place_after(tags, n, names)
            if before or after:
                last, order = tag, "PQ" if before and not (after and last is not None and order == "QP") else "QP"
        elif last is not None and tag.kind == "num" and tag.low is None and not tag.claimed and last.kind != "frac":
            after_word = tags[n + 1].word if n + 1 < len(tags) else ""
            joined = n > 0 and (tags[n - 1].word in _JOINS or tags[n - 1].kind == "sep")
            fits = (order == "QP" and joined and _place_after(tags, n, names)) or (
                order == "PQ"
                and _place_before(tags, n, names)
                and (
                    n + 1 >= len(tags)
                    or tags[n + 1].kind in ("stop", "punct")
                    or after_word in (*_JOINS, "each", "today")
                )
            )
            if fits:
                _give(tag, last, items)
            elif tags[n + 1 : n + 2] and (tags[n + 1].says("noun") or tags[n + 1].says("cue", "bad", "dead")):
                last = None  # "…, took 2 white ones out of A, 1 out of B"


def tanks_of_their_own(tags: list[Tag], names: Names) -> None:
    """The tank of "9's mop: 14", said by its figure, where a sentence opens with it."""
    for n in range(len(tags) - 4, -1, -1):
        if n + 4 > len(tags):
            continue  # the one behind has become one tag
        tag, mark, ending, what = tags[n : n + 4]
        if not what.says("noun", "mop") or (n and tags[n - 1].kind != "stop"):
            continue
        whose = tag.kind == "num" and tag.low is None and mark.word == "'" and ending.word == "s"
        its = names.by_id.get(f"{tag.value:g}", ()) if whose else ()
        if len(its) == 1:
            tag.kind, tag.value, tag.upto = "place", (its[0],), ending.upto
            del tags[n + 1 : n + 3]


def figures_behind(tags: list[Tag]) -> None:
    """Numbers said behind what they are of: "their drops, 3", and the nought of "nitrite nothing at all"."""
    for n, tag in enumerate(tags):
        nxt = tags[n + 1] if n + 1 < len(tags) else None
        last = tags[n + 2] if n + 2 < len(tags) else None
        ends = n + 3 >= len(tags) or tags[n + 3].kind in ("stop", "punct")
        if nxt is None:
            return
        if tag.kind == "lex" and tag.says("unit", "drop") and nxt.word == "," and last is not None and ends:
            if last.kind == "num" and last.low is None and last.value < 20:
                last.kind, last.unit = "amount", "drop"
        elif tag.says("quantity") and not tag.says("quantity", "temperature", "length"):
            at = nxt if nxt.word in _NOUGHT else last if nxt.word in ("is", "was", "'s", "at", ":") else None
            follows = tags[tags.index(at) + 1].word if at is not None and tags.index(at) + 1 < len(tags) else ""
            if at is not None and at.word in _NOUGHT and follows not in ("to", "like", "but"):
                at.kind, at.value, at.senses, at.note = "num", 0.0, {}, ""


_NOUGHT = frozenset(["nothing", "nil", "none", "zilch", "undetectable", "nada"])


def _give(tag: Tag, last: Tag, items: list[Item]) -> None:
    if last.kind == "pct":
        if tag.value <= 100:
            tag.kind = "pct"
        return
    said = items[last.at].num
    if last.kind == "vol" and said:
        tag.kind, tag.value, tag.unit = "vol", tag.value * last.value / said, last.unit
    elif last.kind == "amount":
        tag.kind, tag.unit = "amount", last.unit


def _is_place(tag: Tag, names: Names) -> bool:
    if tag.kind == "place":
        return len(tag.value) == 1
    return tag.kind == "num" and tag.low is None and len(names.by_id.get(f"{tag.value:g}", ())) == 1


def _place_after(tags: list[Tag], n: int, names: Names) -> bool:
    """Whether "out of 13", "in tank 4" follows."""
    m = n + 1
    while m < len(tags) and m <= n + 3 and tags[m].word in _FROM:
        m += 1
    return n + 1 < m < len(tags) and _is_place(tags[m], names)


def _place_before(tags: list[Tag], n: int, names: Names) -> bool:
    """Whether a place stands right before, or with a "had" or "got" between."""
    m = n - 1
    while (
        m >= 0
        and m >= n - 3
        and (tags[m].word in _BETWEEN or (tags[m].kind == "lex" and tags[m].says("cue", "wc", "changed")))
    ):
        m -= 1
    if m < 0 or not _is_place(tags[m], names):
        return False
    opens = m == 0 or tags[m - 1].kind in ("stop", "punct", "sep") or tags[m - 1].word in (*_FROM, *_JOINS)
    return tags[m].kind == "place" or m < n - 1 or (opens and tags[n].kind != "num")
