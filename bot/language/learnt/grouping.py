"""Which of the facts of one kind belong to one event: "25 % in 2 and 3, 40 % in 13" is two changes."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import partial

from bot.language.learnt.places_and_numbers import MAIN, SEXES, WHERE, by_sentence
from bot.language.learnt.tabled import tabled
from bot.language.learnt.values import base

SILENT = frozenset(["O", "Q", "A", "remark"])  # told of nothing: beside the point, asked, unclear, only kept
_TRADED = frozenset(
    ["sale", "reserve", "release", "stock_in", "move", "remind", "snooze", "done", "close_place", "new_place", "peat"]
)
_ANEW = frozenset(
    ["to", "from", "count", "buyer", "culture", "place", "value", "line", "price"]
)  # said a second time, of another event
_NUMBERED = frozenset(MAIN.values())
_ROUNDS = frozenset(["water_change", "top_off", "feed", "measure", "service"])  # done to several places at a time


def stretches(kinds: Sequence[str]) -> list[tuple[str, list[int]]]:
    """The words of one kind that no other kind and no question parts, in order."""
    out: list[tuple[str, list[int]]] = []
    parted = False
    for at, kind in enumerate(kinds):
        if kind in SILENT:
            parted = parted or kind == "Q"
            continue
        if out and out[-1][0] == kind and not parted:
            out[-1][1].append(at)
        else:
            out.append((kind, [at]))
        parted = False
    return out


def events_in(
    kind: str, stretch: Sequence[int], roles: Sequence[str], ends: frozenset[int] = frozenset()
) -> list[list[int]]:
    """The facts of a stretch, event by event; `ends` are the tags that end a sentence."""
    facts = [at for at in stretch if roles[at] != "_"]
    if base(kind) == "fix":
        return [facts]
    if base(kind) in _TRADED:
        return _priced_after(facts, roles, ends) or _anew(facts, roles, ends if base(kind) in _DEALT else frozenset())
    if base(kind) == "culture":
        return [group for block in _at_times(facts, roles) for group in _anew(block, roles)]
    there = [[at] for at in facts if roles[at] == "there" and base(kind) in _ROUNDS]
    if there and any(roles[at] in WHERE for at in facts):  # "half in E at seven, and changed it again": another time
        return [*events_in(kind, [at for at in stretch if roles[at] != "there"], roles, ends), *there]
    if base(kind) == "measure" and (rows := tabled(facts, roles)):
        return rows
    if base(kind) == "measure" and (head := _read_before(facts, roles, ends)):
        rest = [at for at in stretch if at not in head]
        return [*events_in(kind, head, roles, ends), *events_in(kind, rest, roles, ends)]
    group = _measured if base(kind) == "measure" else partial(by_sentence, kind, ends)
    blocks = _at_times(facts, roles)
    groups = [found for block in blocks for found in _headed(group(block, roles), block, roles)]
    if len(blocks) > 1 and _leads_all(facts, roles):  # "20 % in 1 thu, 2 fri"
        groups = [found if facts[0] in found else [facts[0], *found] for found in groups]
    return _lent(groups, roles, ends) if base(kind) in _ROUNDS else groups


def _leads_all(facts: list[int], roles: Sequence[str]) -> bool:
    """Whether how much is said once, before the places and their times."""
    said = [at for at in facts if roles[at] in ("percent", "litres", "food")]
    return said == facts[:1]


def _at_times(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """The facts time by time: "7: bbs E, 12: powder", or "A at 7, B at 8"; several times of one thing stay together."""
    if day := _time_by_time(facts, roles):
        return day
    leads = next((roles[at] for at in facts if roles[at] != "quantity"), "") == "when"
    whens = sum(roles[at] == "when" for at in facts)
    if whens < 2 or not (leads or sum(roles[at] in _NUMBERED for at in facts) <= 1):
        return [facts]
    blocks: list[list[int]] = [[]]
    for at in facts:
        before = roles[blocks[-1][-1]] if any(roles[b] != "quantity" for b in blocks[-1]) else ""
        timed = any(roles[b] == "when" for b in blocks[-1])
        if leads:
            anew = roles[at] == "when" and before not in ("", "when")
        else:
            where = any(roles[b] in WHERE for b in blocks[-1])
            anew = roles[at] in WHERE and before == "when" and timed and where
        if anew:
            blocks.append([])
        blocks[-1].append(at)
    if len(blocks) > 1 and all(roles[at] == "when" for at in blocks[-1]):
        rest = blocks.pop()
        blocks[-1] += rest
    return blocks


def _time_by_time(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """Places said once, with what they had at each time behind: "E: 7 bbs, 12 powder, 6 bbs"."""
    if listed := _times_listed(facts, roles):
        return listed
    if said_once := _said_once(facts, roles):
        return said_once
    opens = list(itertools.takewhile(lambda at: roles[at] == "when", facts))  # "sat: E 7 bbs, 12 powder": the day
    rows: list[tuple[list[int], list[int]]] = []
    end = facts[-1:] if facts and roles[facts[-1]] == "to_all" else []  # where all of it went
    for at in facts[len(opens) : len(facts) - len(end)]:
        if roles[at] in WHERE and (not rows or rows[-1][1]):
            rows.append(([], []))
        if not rows:
            return []
        rows[-1][roles[at] not in WHERE].append(at)
    pairs = [(head, rest[n : n + 2]) for head, rest in rows for n in range(0, len(rest), 2)]
    sorts = {tuple("said" if roles[at] in _NUMBERED else roles[at] for at in pair) for _, pair in pairs}
    if len(pairs) < max(2, len(rows) + 1) or sorts not in ({("when", "said")}, {("said", "when")}):
        return []
    groups = [[*opens, *head, *pair] for head, pair in pairs]
    return [*groups[:-1], [*groups[-1], *end]]


def _said_once(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """What was done said once, then each time with its places: "sponges: 9:00 13, 9:10 14"."""
    head = list(itertools.takewhile(lambda at: roles[at] in _NUMBERED, facts))
    chunks: list[list[int]] = []
    for at in facts[len(head) :]:
        if roles[at] == "when" and (not chunks or roles[chunks[-1][-1]] != "when"):
            chunks.append([])
        if not chunks or (roles[at] != "when" and roles[at] not in WHERE):
            return []
        chunks[-1].append(at)
    if len(head) != 1 or len(chunks) < 2 or any(roles[chunk[-1]] == "when" for chunk in chunks):
        return []
    return [[*head, *chunk] for chunk in chunks]


def _times_listed(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """As many times as things said, all of the one before all of the other: "7, 12 and 6 in E: bbs, powder, bbs"."""
    times = [at for at in facts if roles[at] == "when"]
    said = [at for at in facts if roles[at] in _NUMBERED]
    where = [at for at in facts if roles[at] in WHERE]
    if len(times) < _A_LIST or len(said) != len(times) or len(times) + len(said) + len(where) != len(facts):
        return []
    apart = max(times) < min(said) or max(said) < min(times)
    return (
        [sorted([*where, *pair]) for pair in zip(times, said, strict=True)] if apart and len(where) < len(said) else []
    )


_A_LIST = 3  # two may be a day and its time


def _headed(groups: list[list[int]], block: list[int], roles: Sequence[str]) -> list[list[int]]:
    """The time at the head of a block is that of all in it: "7: bbs E, powder 11"."""
    told = next((n for n, at in enumerate(block) if roles[at] != "when"), 0)
    timed = [any(roles[at] == "when" for at in group) for group in groups]
    return [found if has else [*block[:told], *found] for found, has in zip(groups, timed, strict=True)]


def _lent(groups: list[list[int]], roles: Sequence[str], ends: frozenset[int]) -> list[list[int]]:
    """Where what is said comes first, its places may follow only after all of it: "powder and flake to 3 and 4"."""
    if groups and next((roles[at] for at in groups[0] if roles[at] in _NUMBERED or roles[at] in WHERE), "") in WHERE:
        return groups
    out: list[list[int]] = []
    where: list[int] = []
    for group in reversed(groups):
        own = [at for at in group if roles[at] in WHERE]
        apart = bool(group and where) and not ends.isdisjoint(range(max(group), min(where)))
        out.append(group if own or apart else [*group, *where])
        where = own or where
    return out[::-1]


_DEALT = frozenset(["move", "sale", "reserve", "stock_in"])
_CLOSE = 3  # how far from a count its fish stand, "4 of the rainbows"
_FULL = frozenset(["to", "price"])  # nothing more is expected of an event in the sentence after


def _anew(facts: list[int], roles: Sequence[str], ends: frozenset[int] = frozenset()) -> list[list[int]]:
    """A new event where a part that each has once is played again, or fish are counted in a sentence after all that."""
    groups: list[list[int]] = [[]]
    for n, at in enumerate(facts):
        had = [roles[b] for b in groups[-1]]
        after = [roles[b] for b in facts[n + 1 : n + 2] if b - at <= _CLOSE]
        opens = roles[at] == "count" or [roles[at], *(roles[b] for b in facts[n + 1 : n + 2])] == ["buyer", "count"]
        full = opens and not _FULL.isdisjoint(had) and not ends.isdisjoint(range(groups[-1][-1], at))
        named_on = roles[at] == "buyer" and groups[-1][-1:] == [at - 1] and had[-1:] == ["buyer"]  # "Tom B"
        full = full or (roles[at] == "count" and after == ["line"] and {"line", "buyer"} <= set(had))
        others = _other_fish(roles[at], had) or _moved_on(roles[at], had, [roles[b] for b in facts[n + 1 :]])
        if (roles[at] in _ANEW and roles[at] in had and not named_on) or others or full:
            groups.append([])
        groups[-1].append(at)
    return groups


def _priced_after(facts: list[int], roles: Sequence[str], ends: frozenset[int]) -> list[list[int]]:
    """As many prices as deals, all behind all of them: "a pair of medaka and a pair of corys, 12 and 15"."""
    prices = [at for at in facts if roles[at] == "price"]
    if len(prices) < 2 or prices[-1] - prices[0] > _CLOSE * (len(prices) - 1):
        return []
    groups = _anew([at for at in facts if at < prices[0]], roles, ends)
    rest = [at for at in facts if at > prices[0] and at not in prices]
    if len(groups) != len(prices) or any(roles[at] in _DEALT_IN for at in rest):
        return []
    priced = [[*group, price] for group, price in zip(groups, prices, strict=True)]
    return [*priced[:-1], [*priced[-1], *rest]]


_DEALT_IN = frozenset(["count", "line", "place"])
_FISH = SEXES | {"count"}


def _other_fish(role: str, had: Sequence[str]) -> bool:
    """Whether males or females are others than those told: "1 male to 2, 2 females to 16"."""
    sexed = [n for n, r in enumerate(had) if r in SEXES]
    if not sexed or "count" in had:
        return False
    return "to" in had[sexed[-1] :] if role in SEXES else role == "count" and "price" in had[sexed[-1] :]


def _moved_on(role: str, had: Sequence[str], later: Sequence[str]) -> bool:
    """Whether a figure is of the next move: "2 males from 3 to 2 and 2 from 2 to 3", "6 to 16, 2 males to 12"."""
    if role not in _FISH or "to" not in had or _FISH.isdisjoint(had):
        return False
    if role == "count" and ("count" in had or SEXES.isdisjoint(had)):
        return False
    if role in SEXES:
        coming = next((r for r in later if r in ("count", "from", "to")), "")
        return coming == "to" or (coming == "from" and "from" in had)
    return next((r for r in later if r in _FISH or r in ("from", "to")), "") in ("from", "to")


def _measured(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """One event a value; a quantity or a place begins the next where they stand before their values."""
    listed = _listed(facts, roles)
    if listed:
        return listed
    if both_ways := _both_ways(facts, roles):
        return both_ways
    leading = next((roles[at] for at in facts if roles[at] in ("value", "place", "line")), "")
    said = [roles[at] for at in facts if roles[at] in ("value", "quantity") or roles[at] in WHERE]
    heads = said[:1] == ["quantity"]  # what is measured is said before the places
    named = [role for role in said if role not in WHERE][-1:] == ["value"]
    groups: list[list[int]] = [[]]
    for n, at in enumerate(facts):
        has = {roles[b] for b in groups[-1]}
        if "value" in has and _begins(roles[at], has, leading, (heads, named), [roles[b] for b in facts[n + 1 :]]):
            groups.append([])
        groups[-1].append(at)
    out: list[list[int]] = []
    for group in groups:
        if out and not any(roles[at] == "value" for at in out[-1]):
            out[-1] += group
        else:
            out.append(group)
    return out


def _read_before(facts: list[int], roles: Sequence[str], ends: frozenset[int]) -> list[int]:
    """What was read where the note was, before a sentence that names a place first: "2 qt in, 130. 10 tds 280"."""
    head = [at for n, at in enumerate(facts) if ends.isdisjoint(range(facts[0], facts[n]))]
    rest = facts[len(head) :]
    alone = {roles[at] for at in head} in ({"value"}, {"value", "quantity"})
    return head if alone and rest and roles[rest[0]] in WHERE and any(roles[at] == "value" for at in rest) else []


def _both_ways(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """Each value with its quantity, some said before it and some behind: "13, no ammonia, no nitrite, nitrate 30"."""
    said = [at for at in facts if roles[at] in ("value", "quantity")]
    pairs = list(zip(said[::2], said[1::2], strict=False))
    ways = {(roles[a], roles[b]) for a, b in pairs}
    if len(said) % 2 or ways != {("value", "quantity"), ("quantity", "value")}:
        return []
    if any(b - a > _CLOSE for a, b in pairs):
        return []
    groups: list[list[int]] = [[]]
    for at in facts:
        full = any(roles[b] == "value" for b in groups[-1]) and any(roles[b] == "quantity" for b in groups[-1])
        if full and roles[at] != "when":
            groups.append([])
        groups[-1].append(at)
    if len(groups) == 1 or any(roles[at] == "value" for at in groups[-1]):
        return groups
    return [*groups[:-2], groups[-2] + groups[-1]]  # where it was, said last


def _listed(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """As many values as places, all of the one before all of the other: "76 76 75 (that's 7, 8, 9)"."""
    where = [at for at in facts if roles[at] in WHERE]
    said = [at for at in facts if roles[at] == "value"]
    if len(said) < 2 or len(where) != len(said) or not (max(where) < min(said) or max(said) < min(where)):
        return []
    rest = [at for at in facts if at not in where and at not in said]
    if sum(roles[at] == "quantity" for at in rest) > 1:
        return []
    return [sorted([a, b, *rest]) for a, b in zip(where, said, strict=True)]


_THERE = ["place", "value"]  # behind what is measured: where, and how much


def _begins(role: str, has: set[str], leading: str, named: tuple[bool, bool], later: list[str]) -> bool:
    if role == "value":
        return True
    if role == "quantity":
        return "quantity" in has or named[0] or (named[1] and (later[:1] == ["value"] or later[:2] == _THERE))
    if role in WHERE and leading != "value":
        coming = next((r for r in later if r in ("value", "quantity")), "")
        return bool(has & WHERE) or coming == "value" or (leading in WHERE and coming == "quantity")
    return False
