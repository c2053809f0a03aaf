"""Which culture is meant of several of one food: "the microworms in number 2", "worm box 2", "it will be number 3"."""

from __future__ import annotations

from collections.abc import Sequence

from bot.language.learnt.beside import nearest
from bot.language.learnt.values import culture_like
from bot.language.tags import Tag
from bot.language.text.names import Names

_HOLDERS = frozenset(["culture", "box", "jar", "pot", "bucket", "bottle"])
_CALLS = frozenset(["number", "#", "cultures", "boxes", "jars"]) | _HOLDERS
_OUT_OF = frozenset(["from", "off"])
_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4}
_NEW = "culture.start"


def stem_of(culture: str) -> str:
    """A culture's name without its number."""
    return culture.rstrip(" 0123456789")


def number_of_culture(tag: Tag) -> int | None:
    """The number a stretch may call a culture by: a figure, or that of "number two", which counts nothing."""
    if tag.kind == "place" and tag.word == "number" and len(tag.value or ()) == 1:
        last = str(tag.value[0]).split()[-1]
        return int(last) if last.isdigit() else None  # "the worms in number two"
    figure = tag.kind == "num" or (tag.kind == "word" and tag.note == "idle")
    if not figure or tag.low is not None or not isinstance(tag.value, float) or tag.value != int(tag.value):
        return None
    return int(tag.value)


def numbered(
    tags: Sequence[Tag], roles: Sequence[str], at: int, fit: Sequence[str], kind: str, names: Names
) -> tuple[str | None, bool]:
    """The culture of the food told of at a tag that a number beside it means, and whether no other is called so."""
    stems = {stem_of(name) for name in fit}
    if len(stems) != 1:
        return None, False
    stem = stems.pop()
    called = {n: f"{stem} {said}" for n in range(len(tags)) if (said := _called(tags, n, stem, kind)) is not None}
    if stem in names.cultures:  # "brine jar 2 on": only its jars are counted
        called = {n: name for n, name in called.items() if tags[n - 1].word not in _HOLDERS}
    called = {n: name for n, name in called.items() if roles[n] == "_" and (name in names.cultures or kind == _NEW)}
    if not called:
        return None, False
    return called[nearest(tags, at, list(called))], len(set(called.values())) == 1


def told_of_all(tags: Sequence[Tag]) -> bool:
    """Whether all cultures of a sort are told of: "both jars fed", "all the worm boxes"."""
    return any(
        tag.word in ("both", "all") and any(t.word in _ALL_OF for t in tags[n + 1 : n + 4])
        for n, tag in enumerate(tags)
    )


_ALL_OF = frozenset(f"{holder}s" for holder in _HOLDERS) | {"boxes"}


def _called(tags: Sequence[Tag], at: int, stem: str, kind: str) -> int | None:
    """The number by which a culture is called at a tag: "number 2", "( 2 )", "from 1", "the second microworm tub"."""
    if (order := _ORDINALS.get(tags[at].word)) is not None:
        behind = tags[at + 1 : at + 3]
        return order if any(culture_like(stem, t.one("food")) or t.word in _HOLDERS for t in behind) else None
    number, before = number_of_culture(tags[at]), tags[at - 1] if at else None
    if number is None or before is None:
        return None
    away = {t.word for t in tags[max(0, at - 3) : at]} & _OUT_OF
    if kind == _NEW and away:
        return None  # begun with a spoon of the old one
    bracketed = before.word == "(" and at + 1 < len(tags) and tags[at + 1].word == ")"
    named = (
        tags[at].word == "number"
        or before.word in _CALLS | _OUT_OF
        or (kind == _NEW and culture_like(stem, before.one("food")))
    )
    return number if named or bracketed else None
