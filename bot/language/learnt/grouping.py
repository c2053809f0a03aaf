"""Which of the facts of one kind belong to one event: "25 % in 2 and 3, 40 % in 13" is two changes."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import partial

from bot.language.learnt.tabled import tabled
from bot.language.learnt.values import base

# What each of several events of a kind has of its own.
MAIN = {
    "pull": "count", "bad_eggs": "count", "eyed": "count", "hatch": "count", "death": "count", "headcount": "count",
    "water_change": "percent", "feed": "food", "dose": "amount", "measure": "value", "service": "item",
    "setting": "value",
}  # fmt: skip
SILENT = frozenset(["O", "Q", "A", "remark"])  # told of nothing: beside the point, asked, unclear, only kept
_TRADED = frozenset(
    ["sale", "reserve", "release", "stock_in", "move", "remind", "snooze", "done", "close_place", "new_place", "peat"]
)
_EACH_PLACE = frozenset(["death", "headcount", "hatch", "eyed", "bad_eggs", "mop"])  # one event a place
_ANEW = frozenset(
    ["to", "from", "count", "buyer", "culture", "place", "value", "line", "price"]
)  # said a second time, of another event
_WHERE = frozenset(["place", "line"])
_NUMBERED = frozenset(MAIN.values())
_LAID = frozenset(["pull", "eyed", "hatch"])
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
    if there and any(roles[at] in _WHERE for at in facts):  # "half in E at seven, and changed it again": another time
        return [*events_in(kind, [at for at in stretch if roles[at] != "there"], roles, ends), *there]
    if base(kind) == "measure" and (rows := tabled(facts, roles)):
        return rows
    if base(kind) == "measure" and (head := _read_before(facts, roles, ends)):
        rest = [at for at in stretch if at not in head]
        return [*events_in(kind, head, roles, ends), *events_in(kind, rest, roles, ends)]
    group = _measured if base(kind) == "measure" else partial(_by_sentence, kind, ends)
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
            where = any(roles[b] in _WHERE for b in blocks[-1])
            anew = roles[at] in _WHERE and before == "when" and timed and where
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
        if roles[at] in _WHERE and (not rows or rows[-1][1]):
            rows.append(([], []))
        if not rows:
            return []
        rows[-1][roles[at] not in _WHERE].append(at)
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
        if not chunks or (roles[at] != "when" and roles[at] not in _WHERE):
            return []
        chunks[-1].append(at)
    if len(head) != 1 or len(chunks) < 2 or any(roles[chunk[-1]] == "when" for chunk in chunks):
        return []
    return [[*head, *chunk] for chunk in chunks]


def _times_listed(facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """As many times as things said, all of the one before all of the other: "7, 12 and 6 in E: bbs, powder, bbs"."""
    times = [at for at in facts if roles[at] == "when"]
    said = [at for at in facts if roles[at] in _NUMBERED]
    where = [at for at in facts if roles[at] in _WHERE]
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
    if groups and next((roles[at] for at in groups[0] if roles[at] in _NUMBERED or roles[at] in _WHERE), "") in _WHERE:
        return groups
    out: list[list[int]] = []
    where: list[int] = []
    for group in reversed(groups):
        own = [at for at in group if roles[at] in _WHERE]
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
_SEXES = frozenset(["male", "female"])
_FISH = _SEXES | {"count"}


def _other_fish(role: str, had: Sequence[str]) -> bool:
    """Whether males or females are others than those told: "1 male to 2, 2 females to 16"."""
    sexed = [n for n, r in enumerate(had) if r in _SEXES]
    if not sexed or "count" in had:
        return False
    return "to" in had[sexed[-1] :] if role in _SEXES else role == "count" and "price" in had[sexed[-1] :]


def _moved_on(role: str, had: Sequence[str], later: Sequence[str]) -> bool:
    """Whether a figure is of the next move: "2 males from 3 to 2 and 2 from 2 to 3", "6 to 16, 2 males to 12"."""
    if role not in _FISH or "to" not in had or _FISH.isdisjoint(had):
        return False
    if role == "count" and ("count" in had or _SEXES.isdisjoint(had)):
        return False
    if role in _SEXES:
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
    said = [roles[at] for at in facts if roles[at] in ("value", "quantity") or roles[at] in _WHERE]
    heads = said[:1] == ["quantity"]  # what is measured is said before the places
    named = [role for role in said if role not in _WHERE][-1:] == ["value"]
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
    return head if alone and rest and roles[rest[0]] in _WHERE and any(roles[at] == "value" for at in rest) else []


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
    where = [at for at in facts if roles[at] in _WHERE]
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
    if role in _WHERE and leading != "value":
        coming = next((r for r in later if r in ("value", "quantity")), "")
        return bool(has & _WHERE) or coming == "value" or (leading in _WHERE and coming == "quantity")
    return False


def _by_sentence(kind: str, ends: frozenset[int], facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """Sentence by sentence where each has a place and a number of its own: "7 was wiped, 30 %. 8: just 20 %"."""
    blocks: list[list[int]] = [[]]
    for at in facts:
        if blocks[-1] and not ends.isdisjoint(range(blocks[-1][-1], at)):
            blocks.append([])
        blocks[-1].append(at)
    main = MAIN.get(base(kind), "")
    if sum(any(roles[at] == main for at in b) for b in blocks) > 1:
        blocks = _whole_blocks(blocks, main, roles)
    own = [(any(roles[at] in _WHERE for at in b), any(roles[at] == main for at in b)) for b in blocks]
    if len(blocks) > 1 and all(said for _, said in own) and all(where for where, _ in own[1:]):
        return [found for block in blocks for found in _paired(kind, block, roles)]
    if kind in _LAID and len(blocks) > 1 and all(where for where, _ in own) and own[0][1]:  # "2: 13. 3: lots"
        return [found for block in blocks for found in _paired(kind, block, roles)]
    if kind == "water_change" and len(blocks) > 1:
        return [found for block in _apart(blocks, roles) for found in _paired(kind, block, roles)]
    return _paired(kind, facts, roles)


def _apart(blocks: list[list[int]], roles: Sequence[str]) -> list[list[int]]:
    """Each sentence that tells where, those before one that tells only how much together: "tubs done. 13: half"."""
    out: list[list[int]] = []
    for block in blocks:
        where, much = _says(block, roles)
        if out and where and not (much and _says(out[-1], roles)[1]):
            out.append(block)
            continue
        while much and not where and len(out) > 1 and not _says(out[-1], roles)[1]:  # "1. 5. 20 % each"
            block = [*out.pop(), *block]
        out = [*out[:-1], [*out[-1], *block]] if out else [block]
    return out


def _says(block: list[int], roles: Sequence[str]) -> tuple[bool, bool]:
    """Whether a sentence tells where water was changed, and how much."""
    return any(roles[at] in _WHERE for at in block), any(roles[at] in _SHARE for at in block)


_SHARE = frozenset(["percent", "litres"])


def _whole_blocks(blocks: list[list[int]], main: str, roles: Sequence[str]) -> list[list[int]]:
    """The facts sentence by sentence; what only names places is of what was said before: "Worms! 1 and 2 had them"."""
    out: list[list[int]] = []
    for block in blocks:
        before = {roles[at] for at in out[-1]} if out else {main, *_WHERE}
        if main in before and before.isdisjoint(_WHERE) and all(roles[at] in _WHERE for at in block):
            out[-1] += block
        else:
            out.append(list(block))
    return out


def _additives(kind: str, facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """The facts of each additive, where each is said before how much of it: "tannin 1 leaf in 4, salt 2 tsp in 9"."""
    starts = [n for n, at in enumerate(facts) if roles[at] == "substance"]
    if base(kind) != "dose" or len(starts) < 2 or starts[0] != 0:
        return []
    blocks = [facts[a:b] for a, b in itertools.pairwise([*starts, len(facts)])]
    return blocks if all(any(roles[at] == "amount" for at in block) for block in blocks) else []


def _paired(kind: str, facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """Places with their numbers: one after the other, list against list, or all with one."""
    main = MAIN.get(base(kind), "")
    if base(kind) == "dose" and not any(roles[at] == main for at in facts):
        main = "substance"
    if blocks := _additives(kind, facts, roles):
        return [found for block in blocks for found in _paired(kind, block, roles)]
    where = [at for at in facts if roles[at] in _WHERE]
    mains = (main, "litres") if main == "percent" else (main,)
    said = [at for at in facts if roles[at] in mains or (main == "count" and _opens_sexes(facts, at, roles))]
    if not said and base(kind) in _EACH_PLACE and not any(roles[at] == "line" for at in where) and len(where) > 1:
        rest = [at for at in facts if at not in where]
        return [sorted([at, *rest]) for at in where]  # "a male in 2 and a female in 3"
    if len(said) <= 1 or (base(kind) == "headcount" and _counted_once(facts, roles)):
        return [facts]
    rest = [at for at in facts if at not in where and at not in said]
    ends = [at for at in rest if roles[at] == "to"]
    if len(ends) == len(said) and min(ends) > max(said):  # "5 from 2, 8 from 3, to C and F"
        groups = _paired(kind, [at for at in facts if at not in ends], roles)
        if len(groups) == len(ends):
            return [[*group, end] for group, end in zip(groups, ends, strict=True)]
    if (
        base(kind) in _EACH_PLACE
        and len(where) == len({roles[at] for at in where})
        and "place" in map(roles.__getitem__, where)
    ):
        return _each_when(said, where, rest, roles)  # "two overnight, one at noon, in 15"
    if len(where) == len(said) and (max(where) < min(said) or max(said) < min(where)):
        return [sorted([a, b, *rest]) for a, b in zip(where, said, strict=True)]
    if _turn_about(ends, said) and facts[0] == ends[0]:  # "D got 25, from 10, and G got 15"
        return [[at for at in facts if a <= at < b] for a, b in itertools.pairwise([*ends, max(facts) + 1])]
    if (none := _none_and_some(facts, where, said)) and main == "count":
        return none
    if main == "count" and (beside := _side_by_side(facts, where, said, roles)):
        return beside
    groups = _in_turn(facts, set(where), set(said))
    if main == "percent" and len(groups) > 1 and not set(groups[-1]) & set(where):  # "20% on 1 and 5, 7 got 40%"
        others = [at for at in groups[-2] if at in where]
        moved = others[-1:] if len(others) > 1 else []
        groups[-2:] = [[at for at in groups[-2] if at not in moved], [*moved, *groups[-1]]]
    barred = [at for group in groups[1:] for at in group if roles[at] == "except"]
    groups = [[at for at in group if at not in barred] for group in groups]
    return [[*groups[0], *barred], *groups[1:]]  # what is excepted is so from what was said first


def _none_and_some(facts: list[int], where: list[int], said: list[int]) -> list[list[int]]:
    """Two numbers at both ends, the last with the place before it: "none in 3 and 4, 9 had twelve"."""
    if len(said) != 2 or len(where) <= len(said) or not said[0] < min(where) <= max(where) < said[1]:
        return []
    last = facts.index(max(where))
    return [facts[:last], facts[last:]]


def _turn_about(first: Sequence[int], second: Sequence[int]) -> bool:
    """Whether two lists stand by turns, one of each."""
    both = [at for pair in zip(first, second, strict=False) for at in pair]
    return len(first) == len(second) > 1 and both == sorted(both)


def _side_by_side(facts: list[int], where: list[int], said: list[int], roles: Sequence[str]) -> list[list[int]]:
    """Each number with its one place, some behind it and some before: "none in 4, and 9 had 14"."""
    named = [at for at in where if roles[at] == "place"]
    where = named if len(named) == len(said) else where  # "9 gave 14 of the medaka"
    both = sorted([*where, *said])
    pairs = list(zip(both[::2], both[1::2], strict=False))
    ways = {(a in where, b in where) for a, b in pairs}
    if len(both) % 2 or ways != {(True, False), (False, True)} or any(b - a > _REACH for a, b in pairs):
        return []
    groups: list[list[int]] = [[] for _ in pairs]
    for at in facts:
        groups[min(range(len(pairs)), key=lambda n: min(abs(at - other) for other in pairs[n]))].append(at)
    return groups


_REACH = 8  # how far a number may stand from its place where each has its own


def _counted_once(facts: Sequence[int], roles: Sequence[str]) -> bool:
    """Whether all that is counted is of one place and said once: "22 in 14, 10 males"."""
    had = [roles[at] for at in facts if roles[at] != "line"]
    return "when" not in had and len(had) == len(set(had)) and not _SEXES.isdisjoint(had)


def _each_when(said: list[int], where: list[int], rest: list[int], roles: Sequence[str]) -> list[list[int]]:
    """What is said of one place more than once, each with its own time where the two take turns."""
    whens = [at for at in rest if roles[at] == "when"]
    turns = [at in whens for at in sorted([*said, *whens])]
    if turns != [turns[0], not turns[0]] * len(said):
        return [sorted([at, *where, *rest]) for at in said]
    others = [at for at in rest if at not in whens]
    return [sorted([at, when, *where, *others]) for at, when in zip(said, whens, strict=True)]


def _opens_sexes(facts: Sequence[int], at: int, roles: Sequence[str]) -> bool:
    """Whether males and females are counted from here on, and no more than they in all just before."""
    n = facts.index(at)
    return roles[at] in _SEXES and (n == 0 or roles[facts[n - 1]] not in _SEXES | {"count"})


def _in_turn(facts: list[int], where: set[int], said: set[int]) -> list[list[int]]:
    order = [at in where for at in facts if at in where | said]
    leading, turns = order[:1] != [False], order[:1] + order[-1:] == [True, True]
    groups: list[list[int]] = [[]]
    for at in facts:
        has_where, has_said = bool(where.intersection(groups[-1])), bool(said.intersection(groups[-1]))
        again = (at in where) == leading and at in where | said and (has_said if leading else has_where)
        if again or (at in said and has_said):
            groups.append([])
            leading = leading and not (turns and at in said)  # "all had flake, and powder for E, bbs for 11"
        groups[-1].append(at)
    return groups
