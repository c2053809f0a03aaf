"""What "both", "the bows" and "2 of them bad" point at, among what a note has spoken of before."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from bot.language.clauses.group import Group
    from bot.language.telling import Teller

_ALL_TWO = frozenset(["both", "either", "each", "in each", "each of them", "each one", "in each one"])
_BOTH = frozenset(["mop", "feed", "water_change", "top_off", "dose", "service", "measure"])


def fish_elsewhere(group: Group, teller: Teller) -> bool:
    """Whether a clause names fish, not certain which, that cannot be those of the places spoken of before."""
    vague = {x for t in group.kind("line") if len(t.value) > 1 for x in t.value}
    return bool(vague) and not any(set(teller.names.lines_in(p)) & vague for p in teller.context.places)


def pointed_at(group: Group, teller: Teller, kind: str) -> tuple[str, ...]:
    """The places meant by "both", or by bad eggs picked out of those just put into a tub; () when none."""
    ctx = teller.context
    if fish_elsewhere(group, teller):
        return ()
    if kind in _BOTH and any(t.word in _ALL_TWO for t in group.tags) and (two := _the_two(teller)):
        return two
    if kind in _BOTH and len(ctx.places) == 1 and any(t.word == "both" for t in group.tags):
        spots = [e.get("places") or ([e["place"]] if e.get("place") else []) for e in teller.events]
        pair = list(dict.fromkeys(str(p) for its in reversed(spots) for p in reversed(its)))[:2]
        return tuple(reversed(pair)) if len(pair) == 2 else ()
    pull = ctx.event if ctx.sentence == group.sentence else None
    if kind == "bad_eggs" and pull is not None and pull["kind"] == "pull" and pull.get("to"):
        return (str(pull["to"]),)
    return ()


def _the_two(teller: Teller) -> tuple[str, ...]:
    """The two places named last: those of one deed, or where fish went from and to; () when they were not two."""
    last = teller.context.event
    if last is not None and last["kind"] == "move" and last.get("from") and last.get("to"):
        return (str(last["from"]), str(last["to"]))
    return teller.context.places if len(teller.context.places) == 2 else ()
