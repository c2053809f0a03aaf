"""The list of places of a watering, a dose or a feeding, and those left out of it."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.clauses.pointing import pointed_at
from bot.language.tags import Tag
from bot.language.telling import Teller

STRENGTHS = ("ppm", "mg/l")  # units of what is in the water
_TIMES = re.compile(r"^(?:chgs?|chngs?|changes|wcs|x|times)$")


def place_list(group: Group, teller: Teller, kind: str, **keys: object) -> tuple[list[str] | None, list[str]]:
    """The places of a watering or feeding and those excepted; None after a question was asked."""
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": kind, **keys})
        return None, []
    if kind in ("water_change", "top_off", "feed"):
        group.join_spans()
    seq = group.sequence("place")
    if kind == "dose":
        seq = [s for s in seq if s[2].kind != "num" or at_place(group, s[2])]
    cut = next((n for n, t in enumerate(group.tags) if t.says("except")), None)
    places: list[str] = []
    left_out: list[str] = []
    names = teller.names
    for sort, value, tag in seq:
        n = group._index(tag)
        out = (cut is not None and n > cut) or (n > 0 and group.tags[n - 1].word == "not" and bool(places))
        if n > 1 and any(
            t.word in ("nothing", "none", "skipped", "nothing's", "nobody", "nobody's", "without")
            for t in group.tags[max(0, n - 3) : n]
        ):
            continue
        behind = group.tags[n + 1].word if n + 1 < len(group.tags) else ""
        if places and behind in ("not", "didn't", "wasn't", "skipped", "hasn't", "weren't"):
            continue  # "1-3 changed, 4 not"
        if kind == "water_change" and tag.kind == "num" and places and _TIMES.match(behind):
            tag.claimed = "times"  # "tub E 2 changes": how often, not tank 2
            continue
        if sort == "?":
            if kind == "feed" or tag.claimed or tag.low is not None:
                continue
            before = group.before(tag)
            if before is not None and before.word in ("in", "on", "tank", "and", ",", "wc") and value < 200:
                teller.ask(group, f"There is no tank {value:g} here. Which one?", "place", {"kind": kind, **keys})
                return None, []
            continue
        if kind == "feed" and tag.kind == "num" and _so_many_of_it(group, n):
            tag.claimed = "total"  # how much of it, which is not kept
            continue
        its = [names.batch_of[v].place if sort == "B" and v in names.batch_of else v for v in value]
        (left_out if out else places).extend(its)
    groups = [t for t in group.sense("group") if cut is None or group._index(t) <= cut]
    if groups and group.words() & {"odd", "even", "whose", "numbered"}:
        teller.ask(group, "Which ones?", "place", {"kind": kind, **keys})
        return None, []
    if cut is not None:
        for tag in group.kind("line"):
            if group._index(tag) > cut:
                found = teller.spots_by_line(kind, list(tag.value))
                main = [p for p in found if names.place_of[p].role == "breeders"]
                if len(main) == 1:
                    left_out.extend(main)
    if not places and not groups and cut is None and (several := _of_a_role(group)):
        return several, []
    if cut is not None and any(t.word == "empty" for t in group.tags[cut:]):
        left_out += [p.name for p in names.places if p.role == "empty"]
    kind_of = [t for t in group.tags if t.says("noun", "tank") and t.word.endswith("s") and cut is None]
    if kind_of and not groups and not group.kind("place") and not places:
        word = kind_of[0].word
        before = group.before(kind_of[0])
        if before is not None and before.word in ("the", "of", "my", "our"):
            before = group.before(before)
        heads = names.head_words.get(word, ())
        if before is not None and before.word in ("all", "every") and heads:
            return [names.heads[h][i] for h in heads for i in names.heads.get(h, {})], []
        if pair := pointed_at(group, teller, kind):
            return list(pair), []
        teller.ask_place(group, {"kind": kind, **keys})
        return None, []
    if (
        not places
        and not groups
        and kind in ("feed", "water_change")
        and _all_of_them(group)
        and "all of" not in group.text()
        and not group.kind("line")
        and not group.noun("fry", "adults", "eggs")
    ):
        earlier = [
            t for p in group.parts[0].before_all()[:-1] for t in p.sense("group") if "all" not in t.senses["group"]
        ]
        return [min(earlier[0].senses["group"]) if len(earlier) == 1 else "all"], left_out
    after_cut = [t for t in group.sense("group") if cut is not None and group._index(t) > cut]
    if after_cut:
        left_out = [*(min(t.senses["group"]) for t in after_cut), *left_out]
    if cut is not None and not left_out and any(group._index(t) > cut for t in group.noun("fry")):
        left_out = ["all fry"]
    named = list(dict.fromkeys(min(t.senses["group"]) for t in groups))
    if len(named) > 1 and not places:
        if "all" in named:
            teller.ask(group, "Who got what?", "place", {"kind": kind, **keys})
            return None, []
        places = named
    if groups and not places:
        places = [min(groups[0].senses["group"])]
        if places[0] in ("all", "all tubs") and len(groups) == 1:
            # "did the egg tubs, clean water all round", "egg water done, 3 drops each tub": all of those
            earlier = [t for p in group.parts[0].before_all()[:-1] for t in p.sense("group")]
            places = [min(t.senses["group"]) for t in earlier[-1:]] or places
    if not places and not left_out:
        lines = [x for t in group.kind("line") for x in t.value]
        if lines:
            found = teller.spots_by_line(kind, lines)
            stage = group.stage()
            if stage:
                found = tuple(
                    p
                    for p in found
                    if any(b.stage == stage and b.line in lines for b in names.batches_in(p))
                    or (stage == "adults" and names.place_of[p].role == "breeders")
                )
            if len(found) == 1:
                places = list(found)
            elif len(teller.context.places) == 1 and set(names.lines_in(teller.context.places[0])) & set(lines):
                places = list(teller.context.places)
            else:
                main = [p for p in found if names.place_of[p].role == "breeders"]
                of_eggs = keys.get("substance") in ("peroxide", "methylene blue")
                if len(main) == 1 and not stage and (kind == "feed" or (kind == "dose" and not of_eggs)):
                    places = main
    if not group.kind("place") and _half_named(group):
        teller.ask_place(group, {"kind": kind, **keys})
        return None, []
    if left_out and not groups and set(left_out) <= set(places):
        places, left_out = [p for p in places if p not in left_out], []
    return list(dict.fromkeys(places)), left_out


def _half_named(group: Group) -> bool:
    """Whether a tank is named by a word nobody knows: "in tub eat"."""
    tags = group.tags
    for before, tag, after in zip(tags, tags[1:], tags[2:], strict=False):
        if (
            tag.kind == "lex"
            and tag.says("noun", "tank")
            and not tag.word.endswith("s")
            and before.word in ("in", "into", "to", "from")
            and after.kind == "word"
            and after.word.isalpha()
            and len(after.word) <= 4
            and after.word
            not in (
                "and",
                "at",
                "with",
                "too",
                "then",
                "for",
                "on",
                "by",
                "as",
                "so",
                "is",
                "was",
                "got",
                "had",
                "here",
                "that",
                "this",
                "near",
                "next",
            )
        ):
            return True
    return False


def _all_of_them(group: Group) -> bool:
    """Whether "all" stands for every place: "fed all", "all got flake", and not "gone all thin"."""
    for n, tag in enumerate(group.tags):
        if tag.word != "all":
            continue
        nxt = group.tags[n + 1] if n + 1 < len(group.tags) else None
        what = group.tags[n + 2] if n + 2 < len(group.tags) else None
        if nxt is not None and nxt.word in ("the", "of") and what is not None and what.says("noun", "water", "eggs"):
            continue  # "changed all the water": how much, not where
        if (
            nxt is None
            or nxt.kind != "word"
            or nxt.word in ("with", "the", "them", "at", "in", "on", "their", "this", "round", "ok", "again", "today")
        ):
            return True
    return False


def _so_many_of_it(group: Group, n: int) -> bool:
    """Whether a number counts the food after it, which went to somebody: "3 wafers for the pandas"."""
    tags = group.tags
    if n + 2 >= len(tags) or not tags[n + 1].says("food") or not tags[n + 1].word.endswith("s"):
        return False
    rest = [t for t in tags[n + 2 : n + 6] if t.word not in ("the", "in", "each", "some")]
    to = next((m for m, t in enumerate(rest) if t.word in ("for", "to", "into", "with")), None)
    return (
        to is not None
        and to + 1 < len(rest)
        and (rest[to + 1].kind in ("line", "place", "num") or rest[to + 1].says("group"))
    )


_DOSED = frozenset(["salted", "dosed", "treated", "medicated", "peroxided", "dechlorinated"])


def at_place(group: Group, tag: Tag) -> bool:
    """Whether a bare number stands where a place would: after "in", or in a list that does."""
    before, after = group.before(tag), group.after(tag)
    if after is not None and after.word in ("to", "into", "in", "for", "on", *STRENGTHS):
        return False  # an amount: "2 tsp to 15 and 1 to 16", "2 ppm"
    if before is not None and before.word == "gave" and after is not None and after.kind == "amount":
        return bool(group.place_id(tag))  # "gave 15 1 tbsp salt"
    while before is not None and (before.kind in ("sep", "num") or before.word in ("and", ",", "&")):
        before = group.before(before)
    if before is not None and before.word in _DOSED:
        return bool(group.place_id(tag))  # "salted 15"
    return (
        before is not None and before.word in ("in", "into", "to", "for", "on", "tank", "of") and not group.counts(tag)
    )


def _of_a_role(group: Group) -> list[str]:
    """All the places of a role: "the nursery tanks", "both grow-outs"."""
    for tag in group.sense("role"):
        n = group._index(tag)
        many = tag.word.endswith("s") or (n and group.tags[n - 1].word in ("both", "all", "every"))
        many = many or (n + 1 < len(group.tags) and group.tags[n + 1].word in ("tanks", "tubs", "boxes"))
        if many:
            return [p.name for p in group.names.places if p.role in tag.senses["role"]]
    return []
