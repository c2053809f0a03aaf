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


_Counted = tuple[float | None, dict[str, object], bool]


def fish_count(group: Group) -> _Counted:
    """How many fish: a number, pairs and trios; (count, male and female, whether the numbers disagree)."""
    total, keys = _in_pairs(group)
    if total is not None:
        return total, keys, False
    singles, sexes = _numbers_of_fish(group)
    if sexes:
        both = sum(sexes.values())
        if singles and singles[0] != both:
            return singles[0], {}, True
        return both, {sex: int(number) for sex, number in sexes.items()}, False
    if singles:
        return singles[0], {}, len(set(singles)) > 1 and not group.cues("sold")
    sex = _one_by_its_sex(group.tags)
    return (1.0, {sex: 1}, False) if sex else (None, {}, False)


def _in_pairs(group: Group) -> tuple[float | None, dict[str, object]]:
    """How many fish the pairs and trios named are, and the sexes of a single trio; None where none are."""
    tags = group.tags
    total: float | None = None
    keys: dict[str, object] = {}
    for n, tag in enumerate(tags):
        if not tag.says("noun", "pair", "trio") or _no_lot(tags, n):
            continue
        back = n - 1
        while back >= 0 and back >= n - 3 and (tags[back].kind == "line" or tags[back].word in _BEFORE_PAIRS):
            back -= 1
        number = 1.0
        if back >= 0 and tags[back].kind == "num" and tags[back].low is None:
            number = tags[back].value
            tags[back].claimed = "pairs"
        total = (total or 0.0) + number * (2 if tag.says("noun", "pair") else 3)
        if tag.says("noun", "trio") and number == 1:
            keys = {"male": 1, "female": 2}
    return total, keys


def _no_lot(tags: list[Tag], n: int) -> bool:
    """Whether a pair is only what the price is for ("8 dollars each pair", "at 12 a pair"), or "pr" no pair."""
    before = tags[n - 1] if n else None
    if before is None:
        return False
    if tags[n].word == "pr" and before.kind not in ("num", "line", "lex"):
        return True
    return before.word in ("each", "per", "every") or (n > 1 and before.word == "a" and tags[n - 2].kind == "money")


_BEFORE_A_PLACE = ("in", "from", "of", "tank", "out", "quarantine", "at", "for", "each")


def _numbers_of_fish(group: Group) -> tuple[list[float], dict[str, float]]:
    """The numbers that count fish, and those that count one sex."""
    singles: list[float] = []
    sexes: dict[str, float] = {}
    for tag in group.tags:
        if tag.kind != "num" or tag.claimed or tag.low is not None:
            continue
        after, before = group.after(tag), group.before(tag)
        sex = next((s for s in ("male", "female") if after is not None and after.says("noun", s)), None)
        if sex is not None:
            sexes[sex] = tag.value
        elif group.counts(tag):
            singles.append(tag.value)
        elif before is not None and before.word in _BEFORE_A_PLACE and group.place_id(tag):
            continue
        elif (
            after is None
            or after.kind in ("sep", "money", "person")
            or after.word in ("for", "to", "from", "at", "of", "off")
        ):
            singles.append(tag.value)
    return singles, {sex: sexes[sex] for sex in ("male", "female") if sex in sexes}


_OF_ONE = ("a", "one", "another", "the", "his", "her", "my", "our", "'s", "s")


def _one_by_its_sex(tags: list[Tag]) -> str | None:
    """The sex of the one fish spoken of without a number: "the male", "tank 3's female"."""
    for n, tag in enumerate(tags):
        if tag.word in _OF_ONE or (tag.kind == "place" and tag.word):
            near = [t for t in tags[n + 1 : n + 4] if t.says("noun", "male", "female")]
            if any(not t.word.endswith("s") for t in near):
                return near[0].one("noun")
    return None


_UNPAID = re.compile(
    r"\b(wouldn't|didn't|did not|won't) (take|charge|want|ask) (a (cent|penny|dime|thing)|anything|any money|her|him)\b"
    r"|\b(wouldn't|couldn't) take (a (cent|penny|dime)|(any|their|her|his) money)\b|\b(can't|couldn't) charge\b"
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
