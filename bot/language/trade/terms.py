"""What every bargain has: who, how many fish, what price, which places."""

from __future__ import annotations

import re

from bot.language.clauses.group import Group
from bot.language.scene import COUNTED, Part
from bot.language.tags import Tag
from bot.language.telling import Teller


def people(group: Group) -> list[Tag]:
    """The persons named, members of the room left out."""
    return [t for t in group.kind("person") if t.value not in group.names.people or t.note == ""]


def buyer(group: Group, teller: Teller) -> str | None:
    tags = group.tags
    members = set(teller.names.people)
    found = [t for t in group.kind("person") if t.value.removesuffix("'s") not in members]
    for tag in found:
        n = group._index(tag)
        if n and tags[n - 1].word in ("to", "for"):
            return str(tag.value)
    if not found and group.context.values.get("head_person"):
        return str(group.context.values["head_person"])
    found = [
        t for t in found if not (group._index(t) and tags[group._index(t) - 1].word in ("from", "in", "at", "near"))
    ]
    if not found:
        for one, two, three in zip(tags, tags[1:], tags[2:], strict=False):
            if one.word in ("to", "for") and two.word in ("the", "our", "my") and three.word in _BODIES:
                return str(three.word)  # "set aside ten for the club"
    return str(found[0].value) if found else None


_BODIES = frozenset(["club", "school", "auction", "library", "shop", "store", "museum", "nursery", "church"])
KEEPS = frozenset(["keep", "keeping", "kept", "save", "saved", "saving", "holding"])


def waits_only(group: Group) -> bool:
    """Whether the one named after a sale only waits: "sold 4, kept 2 for Tom"."""
    later = group.parts[-1].after
    return not group.kind("person") and later is not None and bool(later.words() & KEEPS) and bool(later.kind("person"))


_BEFORE_PAIRS = frozenset(["a", "the", "another", "more", "of", "nice", "young", "breeding", "juv", "juvenile"])


def fish_count(group: Group) -> tuple[float | None, dict[str, object], bool]:
    """How many fish: a number, pairs and trios; (count, male and female, whether the numbers disagree)."""
    count: float | None = None
    keys: dict[str, object] = {}
    tags = group.tags
    total = 0.0
    any_pair = False
    for n, tag in enumerate(tags):
        if not tag.says("noun", "pair", "trio"):
            continue
        if tag.word == "pr" and n and tags[n - 1].kind not in ("num", "line", "lex"):
            continue
        if n and tags[n - 1].word in ("each", "per", "every"):
            continue  # "two pairs, 8 dollars each pair"
        if n > 1 and tags[n - 1].word == "a" and tags[n - 2].kind == "money":
            continue  # "at 12 a pair"
        number = 1.0
        back = n - 1
        while back >= 0 and back >= n - 3 and (tags[back].kind in ("line",) or tags[back].word in _BEFORE_PAIRS):
            back -= 1
        if back >= 0 and tags[back].kind == "num" and tags[back].low is None:
            number = tags[back].value
            tags[back].claimed = "pairs"
        size = 2 if tag.says("noun", "pair") else 3
        total += number * size
        any_pair = True
        if tag.says("noun", "trio") and number == 1:
            keys = {"male": 1, "female": 2}
    if any_pair:
        return total, keys, False
    male = female = None
    singles: list[float] = []
    for n, tag in enumerate(tags):
        if tag.kind != "num" or tag.claimed or tag.low is not None:
            continue
        nxt = tags[n + 1] if n + 1 < len(tags) else None
        prev = tags[n - 1].word if n else ""
        if nxt is not None and nxt.says("noun", "male"):
            male = tag.value
        elif nxt is not None and nxt.says("noun", "female"):
            female = tag.value
        elif group.counts(tag):
            singles.insert(0, tag.value) if not singles else singles.append(tag.value)
        elif prev in ("in", "from", "of", "tank", "out", "quarantine", "at", "for", "each") and group.place_id(tag):
            continue
        elif (
            nxt is None
            or nxt.kind in ("sep", "money", "person")
            or nxt.word in ("for", "to", "from", "at", "of", "off")
        ):
            singles.append(tag.value)
    if male is not None or female is not None:
        both = (male or 0) + (female or 0)
        if singles and singles[0] != both:
            return singles[0], {}, True
        keys = {}
        if male is not None:
            keys["male"] = int(male)
        if female is not None:
            keys["female"] = int(female)
        return both, keys, False
    if singles:
        return singles[0], {}, len(set(singles)) > 1 and not group.cues("sold")
    words = [t.word for t in tags]
    for n, tag in enumerate(tags):
        if (
            tag.word in ("a", "one", "another", "the", "his", "her", "my", "our", "'s", "s")
            or (tag.kind == "place" and tag.word)
        ) and n + 1 < len(tags):
            near = tags[n + 1 : n + 4]
            if any(t.says("noun", "male", "female") and not t.word.endswith("s") for t in near):
                sex = next(t.one("noun") for t in near if t.says("noun", "male", "female"))
                return 1.0, {str(sex): 1}, False
    _ = words
    return count, keys, False


_UNPAID = re.compile(
    r"\b(wouldn't|didn't|did not|won't) (take|charge|want|ask) (a (cent|penny|dime|thing)|anything|any money|her|him)\b"
    r"|\bon (the )?house\b|\bas a present\b"
)


def _for_so_much(group: Group) -> float | None:
    """“sold 6 gardneri to Marta for 30”: a bare number behind “for” at the end, where the fish are counted before."""
    if len(group.tags) < 3 or len([t for t in group.kind("num") if t.claimed != "place"]) != 2:
        return None
    before, last = group.tags[-2:]
    if last.kind != "num" or last.low is not None or before.word != "for" or not group.kind("line", "batch", "person"):
        return None
    last.claimed = "price"
    return float(last.value)


def price(group: Group, count: float | None) -> float | None:
    money = group.kind("money")
    if money:
        value = float(money[-1].value if len(money) == 1 else money[0].value)
        nxt = group.after(money[0])
        each = (nxt is not None and (nxt.says("each") or nxt.word in ("ea", "per", "each"))) or (
            any(t.says("each") for t in group.tags) and not (nxt is not None and nxt.word in ("the", "total", "for"))
        )
        unit = group.after(money[0], 2)
        several = unit is not None and unit.says("noun", "pair", "trio")
        if nxt is not None and nxt.word in ("each", "per", "a") and unit is not None and several:
            return round(value * count / (2 if unit.says("noun", "pair") else 3), 2) if count else None
        if each:
            return round(value * count, 2) if count else None
        return value
    if (asked := _for_so_much(group)) is not None:
        return asked
    return unpaid(group.text())


def unpaid(text: str) -> float | None:
    """No price at all, where words say that nothing was asked."""
    free = ("gave away", "given away", "for free", "no charge", "as a gift", "free to", "gratis", "for nothing")
    return 0.0 if _UNPAID.search(text) or any(words in text for words in free) else None


def fishy(part: Part) -> bool:
    return bool(part.kind("line", "batch") or part.noun(*COUNTED))


def places_told(group: Group) -> list[str]:
    """The places a group names for certain: by word, or as a bare number after "in", "from" or "out of"."""
    out: list[str] = []
    tags = group.tags
    for n, tag in enumerate(tags):
        if tag.kind == "place":
            out.extend(tag.value)
        elif tag.kind == "size":
            out.extend(group.sized(tag))
        elif (
            tag.kind == "num"
            and not tag.claimed
            and n
            and tags[n - 1].word in ("in", "from", "of", "into", "quarantine", "qt")
            and not group.counts(tag)
        ):
            if tags[n - 1].word == "of" and (n < 2 or tags[n - 2].word != "out"):
                continue
            place = group.place_id(tag)
            if place:
                tag.claimed = "place"
                out.append(place)
        elif (
            tag.kind == "lex"
            and tag.says("role", "quarantine")
            and not (tag.says("volume") and tag.word == "qt" and tags[n - 1 : n] and tags[n - 1].kind in ("num", "vol"))
        ):
            its = group.names.with_role("quarantine")
            if len(its) == 1:
                out.extend(its)
    return list(dict.fromkeys(out))
