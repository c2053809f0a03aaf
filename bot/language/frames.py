"""All kinds of event a clause can show, and which of them it does show."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from bot.language import eggs, fish, tending, trade, water
from bot.language.scene import Part
from bot.language.telling import Frame, Teller

FRAMES: tuple[Frame, ...] = (*trade.FRAMES, *tending.FRAMES, *eggs.FRAMES, *fish.FRAMES, *water.FRAMES)
BY_KIND = {frame.kind: frame for frame in FRAMES}

_PAIRS = {
    frozenset(p)
    for p in (
        ("water_change", "dose"), ("pull", "dose"), ("pull", "move"), ("hatch", "move"), ("measure", "water_change"), ("water_change", "service"), ("water_change", "top_off"), ("water_change", "feed"),
        ("death", "headcount"), ("bad_eggs", "headcount"), ("bad_eggs", "eyed"), ("measure", "dose"), ("feed", "dose"), ("service", "top_off"), ("feed", "service"), ("bad_eggs", "dose"),
    )
}  # fmt: skip


def seen(part: Part, teller: Teller) -> list[str]:
    """The kinds a clause tells of: the strongest claim first, weaker ones only on words left over."""
    if part.muted:
        return []
    sights = [(frame.kind, sight) for frame in FRAMES if (sight := frame.sees(part, teller))]
    sights.sort(key=lambda pair: -pair[1].strength)
    taken: set[int] = set()
    kinds: list[str] = []
    for kind, sight in sights:
        its = {id(t) for t in sight.tags}
        if kinds and (its & taken or not its):
            continue
        if kinds and not _together(kinds[0], kind):
            continue
        kinds.append(kind)
        taken |= its
    return kinds


def _together(first: str, second: str) -> bool:
    """Whether one clause may well tell of both kinds."""
    return frozenset((first, second)) in _PAIRS
