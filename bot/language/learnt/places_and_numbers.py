"""Which number is of which place, one event each: "2 and 3 20 %, 13 40 %", "none in 4, and 9 had 14"."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from bot.language.learnt.values import base

# What each of several events of a kind has of its own.
MAIN = {
    "pull": "count", "bad_eggs": "count", "eyed": "count", "hatch": "count", "death": "count", "headcount": "count",
    "water_change": "percent", "feed": "food", "dose": "amount", "measure": "value", "service": "item",
    "setting": "value",
}  # fmt: skip
WHERE = frozenset(["place", "line"])
SEXES = frozenset(["male", "female"])
_EACH_PLACE = frozenset(["death", "headcount", "hatch", "eyed", "bad_eggs", "mop"])  # one event a place
_LAID = frozenset(["pull", "eyed", "hatch"])


def by_sentence(kind: str, ends: frozenset[int], facts: list[int], roles: Sequence[str]) -> list[list[int]]:
    """Sentence by sentence where each has a place and a number of its own: "7 was wiped, 30 %. 8: just 20 %"."""
    blocks: list[list[int]] = [[]]
    for at in facts:
        if blocks[-1] and not ends.isdisjoint(range(blocks[-1][-1], at)):
            blocks.append([])
        blocks[-1].append(at)
    main = MAIN.get(base(kind), "")
    if sum(any(roles[at] == main for at in b) for b in blocks) > 1:
        blocks = _whole_blocks(blocks, main, roles)
    own = [(any(roles[at] in WHERE for at in b), any(roles[at] == main for at in b)) for b in blocks]
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
    return any(roles[at] in WHERE for at in block), any(roles[at] in _SHARE for at in block)


_SHARE = frozenset(["percent", "litres"])


def _whole_blocks(blocks: list[list[int]], main: str, roles: Sequence[str]) -> list[list[int]]:
    """The facts sentence by sentence; what only names places is of what was said before: "Worms! 1 and 2 had them"."""
    out: list[list[int]] = []
    for block in blocks:
        before = {roles[at] for at in out[-1]} if out else {main, *WHERE}
        if main in before and before.isdisjoint(WHERE) and all(roles[at] in WHERE for at in block):
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
    where = [at for at in facts if roles[at] in WHERE]
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
    return "when" not in had and len(had) == len(set(had)) and not SEXES.isdisjoint(had)


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
    return roles[at] in SEXES and (n == 0 or roles[facts[n - 1]] not in SEXES | {"count"})


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
