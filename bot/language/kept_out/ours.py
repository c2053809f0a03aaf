"""Whether a clause names anything of this room."""

from __future__ import annotations

from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.text.names import Names


def _out_of(tags: list[Tag], number: Tag) -> bool:
    """Whether a number stands in "out of 13", and not in "9 out of 10 fish"."""
    n = next(i for i, t in enumerate(tags) if t is number)
    out_of = " ".join(t.word for t in tags[max(0, n - 2) : n]).endswith("out of")
    counts = n + 1 < len(tags) and (tags[n + 1].says("noun") or tags[n + 1].word in ("us", "them"))
    return out_of and not counts


_WHERE = frozenset(["in", "into", "from", "mop", "mops", "tank", "tub"])


def of_the_room(part: Part, names: Names) -> bool:
    """Whether a clause names a place, batch or culture of ours, be it by its figure alone."""
    if part.kind("place", "batch", "culture", "size"):
        return True
    first, *rest = part.tags
    if first.kind == "num" and rest and rest[0].says("cue", "lost", "gave") and f"{first.value:g}" in names.by_id:
        return True  # "14 lost one overnight"
    for one, two in zip(part.tags, part.tags[1:], strict=False):
        if (
            two.kind == "num"
            and two.low is None
            and (one.word in _WHERE or one.says("noun", "mop") or _out_of(part.tags, two))
            and f"{two.value:g}" in names.by_id
        ):
            return True
    return False
