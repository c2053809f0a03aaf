"""What the words beside the facts of an event add to it: a sex, a stage, a pair or a trio, "a" for one."""

from __future__ import annotations

import itertools
from bisect import bisect_left
from collections.abc import Sequence
from itertools import takewhile
from typing import Any

from bot.language.fish.causes import how_lost
from bot.language.tags import Tag
from bot.language.trade.terms import unpaid

Raw = dict[str, Any]

_OF_FISH = frozenset(["move", "death", "headcount", "stock_in", "sale", "reserve", "release"])
_OF_EGGS = frozenset(["bad_eggs", "eyed"])
_SEXED = frozenset(["move", "headcount", "stock_in", "sale", "reserve"])  # tell males and females apart
_STAGED = frozenset(["move", "death", "headcount", "stock_in", "sale", "reserve"])
_STAGES = ("eggs", "fry", "juveniles", "adults")
_LOTS = {"pair": (1, 1), "trio": (1, 2)}  # males and females
_COMMA_AWAY = 1.5
_NEAR = 3
_FISH = ("fish", "fry", "juveniles", "adults")


def owners(tags: Sequence[Tag], groups: Sequence[Sequence[int]]) -> list[list[int]]:
    """For each group of facts the tags nearest to it in its sentences; those of a note of one event are all its own."""
    whose = {at: n for n, facts in enumerate(groups) for at in facts}
    own: list[list[int]] = [[] for _ in groups]
    for sentence in sentences(tags):
        facts = [at for at in sentence if at in whose]
        for at in sentence:
            if facts:
                own[whose[nearest(tags, at, facts)]].append(at)
            elif len(groups) == 1:
                own[0].append(at)
    return own


def sentences(tags: Sequence[Tag]) -> list[list[int]]:
    """Where the tags of each sentence stand."""
    found: list[list[int]] = [[]]
    for at, tag in enumerate(tags):
        found[-1].append(at)
        if tag.kind in ("stop", "sep"):
            found.append([])
    return [sentence for sentence in found if sentence]


def closed_clauses(tags: Sequence[Tag], kinds: Sequence[str], roles: Sequence[str]) -> set[int]:
    """The commas between water changed in full and a share of it elsewhere: "tubs changed, 13 half"."""
    found: set[int] = set()
    for sentence in sentences(tags):
        commas = [at for at in sentence if tags[at].kind == "punct" and tags[at].word in (",", ";")]
        edges = [sentence[0] - 1, *commas, sentence[-1] + 1]
        clauses = [range(low + 1, high) for low, high in itertools.pairwise(edges)]
        for comma, (one, other) in zip(commas, itertools.pairwise(clauses), strict=True):
            said = [{roles[at] for at in its if kinds[at] == "water_change"} for its in (one, other)]
            much = [bool(its & {"percent", "litres"}) for its in said]
            alone = one if not much[0] else other
            if all("place" in its for its in said) and much[0] != much[1] and _is_closed(tags, alone):
                found.add(comma)
    return found


def _is_closed(tags: Sequence[Tag], clause: range) -> bool:
    """Whether a clause ends with what was done there, or how often: "A B C all done", "tubs twice"."""
    told = [tags[at] for at in clause if tags[at].kind not in ("stop", "sep", "punct")]
    if not told:
        return False
    times = told[-1].kind == "times" or told[-1].word == "twice" or any(t.word in ("x", "×") for t in told[-2:])
    times = times or (told[-1].kind == "num" and any(t.says("group") for t in told[-2:-1]))  # "tubs x2"
    return times or told[-1].says("cue", "changed", "wc", "done", "clean")


_GUESSED = frozenset(
    ["maybe", "probably", "perhaps", "possibly", "likely", "might", "may", "think", "guess", "must", "?"]
)


def nearest(tags: Sequence[Tag], at: int, facts: Sequence[int]) -> int:
    """The nearest fact, one behind a comma a little further off; of two as near that which comes next.

    The facts stand in order.
    """
    after = bisect_left(facts, at)
    if after < len(facts) and facts[after] == at:
        return at

    def away(other: int) -> tuple[float, bool]:
        between = tags[min(at, other) : max(at, other) + 1]
        comma = any(t.kind == "punct" and t.word in ",;" for t in between)
        return abs(at - other) + (_COMMA_AWAY if comma else 0), other < at

    return min(facts[max(0, after - 1) : after + 1], key=away)


def add_beside(event: Raw, tags: Sequence[Tag], own: Sequence[int], facts: Sequence[int]) -> None:
    """Add to an event of fish what the words say that are its own."""
    kind = event["kind"]
    if kind in _OF_EGGS and event.get("count") is None and _is_one_egg(tags, own):
        event["count"] = 1
    if kind == "hatch" and event.get("count") is None and _is_one_fry(tags, own):
        event["count"] = 1
    if kind not in _OF_FISH:
        return
    if kind in _STAGED and (stage := _only(tags, own, _STAGES)):
        event["stage"] = stage
    elif kind == "stock_in" and any(tags[at].says("noun", "peat") for at in own):
        event["stage"] = "eggs"
    _add_lot(event, tags, own)
    _add_other_sex(event, tags, own, facts)
    if event.get("count") is None and (event.get("male") is not None or event.get("female") is not None):
        event["count"] = (event.get("male") or 0) + (event.get("female") or 0)
    if kind in ("move", "sale") and event.get("count") is None and _one_of_each(tags, own):
        event["male"], event["female"], event["count"] = 1, 1, 2
    grown = (event.get("count") or 1) == 1 and event.get("stage") not in _YOUNG
    sex = sex_said(tags, own, called=kind == "death" and grown)
    if event.get("count") is None and any(tags[at].word == "both" for at in own):
        event["count"] = 2
    elif (
        event.get("count") is None
        and kind != "headcount"
        and (
            _is_one(tags, [at for at in own if at not in facts], kind)
            or (kind == "death" and _one_dead(tags, own, facts))
        )
    ):
        event["count"] = 1
    else:
        one = kind == "move" and event.get("count") == 1 and any(tags[at].word == "one" for at in facts)
        sex = sex if kind == "death" or one else None  # "the males fight: moved the smaller one"
        event["_unsure"] = event.get("_unsure") or (one and bool(sex) and event.get(str(sex)) is None)
        event["_all"] = any(tags[at].word in _ALL for at in own)
        if kind == "move" and event.get("count") is None:
            _add_pronoun(event, tags, own, facts)
        event["_one_likely"] = kind == "death" and not any(_is_many(tags[at]) for at in own)
    if sex and kind in _SEXED:
        event.setdefault(sex, event["count"])
    if sex and kind == "death":
        event["sex"] = sex
    if kind == "death" and not event.get("cause") and not any(tags[at].word in _GUESSED for at in own):
        event["cause"] = how_lost(tags[at].word for at in own if _tells_how(tags, at))
    if kind in _DEALS | {"stock_in"} and not (event.get("buyer") or event.get("source")):
        event["_of_them"] = any(tags[at].word in _HE | _SHE for at in own)
    event["_swap"] = kind == "move" and any(_is_swap(tags, at, facts) for at in own)
    if kind == "headcount":
        sexed = (event.get("male") or 0) + (event.get("female") or 0)
        event["_unsure"] = event.get("_unsure") or sexed > (event.get("count") or 0)
        event["_part"] = _is_part(event, tags, facts)
    _add_price(event, tags, own)


_SWAP = frozenset(["swap", "swaps", "swapped", "swaped", "swopped", "swopd", "swop", "swapping", "swpd", "swapt"])


def _is_swap(tags: Sequence[Tag], at: int, facts: Sequence[int]) -> bool:
    """Whether fish changed places: "swapped with", "swapped places", "swap males 2 and 3"."""
    if tags[at].word not in _SWAP:
        return False
    behind = {t.word for t in tags[at + 1 : at + 3]}
    last = max(facts, default=at)
    return not behind.isdisjoint(("places", "with")) or (last > at and tags[last - 1].word in ("and", "&", "/", "+"))


def _is_part(event: Raw, tags: Sequence[Tag], facts: Sequence[int]) -> bool:
    """Whether males or females alone are counted as some of those counted before: "22 in 14, 10 of them males"."""
    alone = (event.get("male") is None) != (event.get("female") is None)
    behind = [" ".join(t.word for t in tags[at + 1 : at + 3]) for at in facts]
    return alone and any(words.startswith(("of them", "of those", "of these", "of which")) for words in behind)


_THEY = frozenset(["they", "them", "they're", "they've", "all", "pair", "trio", "both", "lot", "rest"])


def _add_pronoun(event: Raw, tags: Sequence[Tag], own: Sequence[int], facts: Sequence[int]) -> None:
    """The one fish of "moved him to 15", "the smaller one's in 16 now", "it's back"; "she" may be a buyer, too."""
    words = {tags[at].word for at in own}
    he, she = not words.isdisjoint(_HE | {"himself"}), not words.isdisjoint(_SHE | {"herself"})
    one = he != she or "one's" in words or any(_is_single(tags, at) for at in own if at in facts)
    if not one or not words.isdisjoint(_THEY):
        return
    event["count"] = 1
    event["_unsure"] = not any(tags[at].word in _TAKEN and tags[at - 1].says("cue", "move") for at in own if at)
    nouns = {sex for at in own for sex in ("male", "female") if tags[at].says("noun", sex)}
    sex = ({"male"} if he and not she else {"female"} if she and not he else set()) or nouns
    if len(sex) == 1:
        event[sex.pop()] = 1


_ALL = frozenset(["all", "everyone", "everything", "lot"])
_TAKEN = frozenset(["him", "her", "it"])
_HAS = frozenset(["has", "had", "have", "hasn't", "hadn't", "haven't", "not", "he's", "she's", "never"])


def _tells_how(tags: Sequence[Tag], at: int) -> bool:
    """Whether a word may say how a fish was lost; who ate, or had not eaten, need not be who was eaten."""
    tag = tags[at]
    fed = tag.word == "ate" or (tag.word == "eaten" and any(t.word in _HAS for t in tags[max(0, at - 2) : at]))
    return tag.says("cue", "dead", "lost") and not fed


def _is_one_egg(tags: Sequence[Tag], own: Sequence[int]) -> bool:
    """ "An egg in tub A was white", "a bad egg", "the last egg was clear"."""
    eggs = [at for at in own if tags[at].says("noun", "eggs") and tags[at].word.endswith("egg")]
    return len(eggs) == 1 and any(t.word in ("a", "an", "last") for t in tags[max(0, eggs[0] - 2) : eggs[0]])


_ONE_FRY = frozenset(["single", "lone", "tiny", "little", "wee", "new", "live", "free"])


def _is_one_fry(tags: Sequence[Tag], own: Sequence[int]) -> bool:
    """ "A fry in tub D", "there's a lampeye fry"."""
    for at in own:
        before = [t for t in tags[max(0, at - 2) : at] if t.kind != "line" and t.word not in _ONE_FRY]
        if tags[at].word == "fry" and before and before[-1].word == "a" and before[-1].kind in ("word", "lex"):
            return True
    return False


def _one_of_each(tags: Sequence[Tag], own: Sequence[int]) -> bool:
    """ "Male and female back in 4"."""
    said = [at for at in own if tags[at].says("noun", "male", "female")]
    two = len(said) == 2 and said[1] - said[0] == 2 and tags[said[0] + 1].word in ("and", "&", "+")
    return two and not any(_plural(tags[at].word) for at in said) and _only(tags, own, ("male", "female")) is None


_MALE = frozenset(["lad", "lads", "bloke", "gent", "gents", "m", "male's", "boy's", "lad's"])
_FEMALE = frozenset(["missus", "lady", "ladies", "gal", "gals", "mum", "f", "female's", "girl's", "lady's"])
_SOMEONE = frozenset(["someone", "somebody", "someone's", "somebody's"])
_HE, _SHE = frozenset(["he", "him", "he's", "he'd"]), frozenset(["she", "her", "she's", "she'd"])


_YOUNG = frozenset(["fry", "juveniles"])  # "he" is said of these as of any fish


def sex_said(tags: Sequence[Tag], own: Sequence[int], *, called: bool) -> str | None:
    """The sex of those spoken of: by its word, else, if `called`, by "he"; "she" beside live fish may be the buyer."""
    words = {tags[at].word for at in own if tags[at].kind in ("word", "lex")}  # tub F is no female
    nouns = [(at, sex) for at in own for sex in ("male", "female") if tags[at].says("noun", sex)]
    if len({sex for _, sex in nouns}) > 1:  # "a male moved to 13, he bullied the girls"
        nouns = [(at, sex) for at, sex in nouns if not _plural(tags[at].word)]
    if called and len({sex for _, sex in nouns}) > 1:  # "the female dead, the male unhurt"
        nouns = [(at, sex) for at, sex in nouns if any(t.says("cue", "dead") for t in tags[max(0, at - 1) : at + 2])]
    said = {sex for _, sex in nouns}
    for males, females in ((_MALE, _FEMALE), (_HE, _SHE)) if called else ((_MALE, _FEMALE),):
        said = said or {sex for sex, its in (("male", males), ("female", females)) if words & its}
    return said.pop() if len(said) == 1 else None


def _only(tags: Sequence[Tag], own: Sequence[int], nouns: tuple[str, ...]) -> str | None:
    """The one of some nouns that the words say."""
    said = {noun for at in own for noun in nouns if tags[at].says("noun", noun)}
    return said.pop() if len(said) == 1 else None


def _add_lot(event: Raw, tags: Sequence[Tag], own: Sequence[int]) -> None:
    """Two for a pair, three for a trio, where no number stands with it that was counted already."""
    lots = [at for at in own if tags[at].says("noun", *_LOTS) and not _priced(tags, at)]
    if event.get("count") is not None or event.get("male") is not None or event.get("female") is not None:
        return
    if len({tags[at].word for at in lots}) != 1:
        return
    counted = _both_before(tags, lots[0]) or any(t.word == "one" for t in tags[max(0, lots[0] - 4) : lots[0]])
    if tags[lots[0]].word in ("pairs", "trios") and not counted:
        return  # "the lampeye pairs"
    if _both_before(tags, lots[0]):
        event["count"] = 2 * sum(_LOTS["pair" if tags[lots[0]].says("noun", "pair") else "trio"])
        return
    males, females = _LOTS["pair" if tags[lots[0]].says("noun", "pair") else "trio"]
    event["count"] = males + females
    if event["kind"] in _SEXED and not (event["kind"] in _DEALS and males == females):
        event["male"], event["female"] = males, females  # a pair sold may be any two


def _both_before(tags: Sequence[Tag], at: int) -> bool:
    return tags[at].word.endswith("s") and any(t.word == "both" for t in tags[max(0, at - 2) : at])


_JOINS = frozenset(["and", "&", "+", "plus"])


def _add_other_sex(event: Raw, tags: Sequence[Tag], own: Sequence[int], facts: Sequence[int]) -> None:
    """One of the sex that is told without a number beside the other: "m + 2 f", "2 females and a male"."""
    sexed = [sex for sex in ("male", "female") if event.get(sex) is not None]
    if event["kind"] not in _SEXED or len(sexed) != 1 or event.get("count") is not None:
        return
    other, short = ("female", "f") if sexed == ["male"] else ("male", "m")
    for at in own:
        tag = tags[at]
        if not ((tag.says("noun", other) and not _plural(tag.word)) or (tag.word == short and tag.kind != "place")):
            continue
        before = [t.word for t in tags[max(0, at - 2) : at] if t.word not in ("a", "one")]
        ahead = at + 2 < len(tags) and tags[at + 1].word in _JOINS and at + 2 in facts and tags[at + 2].kind == "num"
        if ahead or (before and before[-1] in _JOINS):
            event[other] = 1
            return


def _priced(tags: Sequence[Tag], at: int) -> bool:
    """Whether a pair is only what the price is for: "$8 a pair", "12 per pair"."""
    before = tags[at - 1] if at else None
    if before is None:
        return False
    return before.word in ("per", "each", "every") or (before.word == "a" and at > 1 and tags[at - 2].kind == "money")


_IN_ALL = frozenset(["both", "all"])  # "20 for both"
_TRADED = frozenset(["sale", "reserve", "stock_in"])
_DEALS = frozenset(["sale", "reserve", "release"])


def _add_price(event: Raw, tags: Sequence[Tag], own: Sequence[int]) -> None:
    """The price of all, where it was said of one or of a pair; nothing, where the words say that nothing was asked."""
    at, price = event.pop("_priced", None), event.get("price")
    if event["kind"] not in _TRADED:
        return
    if price is None and event["kind"] != "reserve" and unpaid(" ".join(tags[n].word for n in own)) is not None:
        event["price"] = 0.0
    if not price or at is None:
        return
    per = next((n for n in range(max(0, at - 2), min(at + 4, len(tags))) if _is_per(tags, n, at)), None)
    if per is None:
        return
    lot = next((2 if t.says("noun", "pair") else 3 for t in tags[per : per + 2] if t.says("noun", *_LOTS)), 1)
    count = event.get("count")
    event["price"], event["_unsure"] = (round(price * count / lot, 2), None) if count else (None, True)


def _is_per(tags: Sequence[Tag], n: int, at: int) -> bool:
    """Whether a word says that a price is of one: "4 each", "at 3 a piece", "@ 6", "$8 a pair", "each 5"."""
    tag, before = tags[n], tags[n - 1].word if n else ""
    if n < at:
        return n == at - 1 and tag.word in ("@", "each")
    if (tag.says("each") and tag.word not in _IN_ALL) or tag.word in ("ea", "per", "apiece", "a piece"):
        return True
    return (tag.says("noun", "fish", *_LOTS) or tag.word == "head") and before == "a" and n == at + 2


def _is_one(tags: Sequence[Tag], own: Sequence[int], kind: str) -> bool:
    """Whether one fish is spoken of without a number: "a medaka", "the male", "tank 3's old female", "found her"."""
    if kind == "death" and any(tags[at].word in _HE | _SHE | _SOMEONE | _A_BODY for at in own):
        return True
    for at in own:
        tag = tags[at]
        sexed = tag.says("noun", "male", "female") or (kind in ("death", "move") and tag.word in _MALE | _FEMALE)
        if sexed and not _plural(tag.word):
            return True
        behind = list(takewhile(lambda t: t.word != "of", tags[at + 1 : at + 1 + _NEAR]))  # "a bag of gularis"
        if tag.word in ("a", "an", "last") and any(t.kind == "line" or t.says("noun", *_FISH) for t in behind):
            return True
    return False


def _one_dead(tags: Sequence[Tag], own: Sequence[int], facts: Sequence[int]) -> bool:
    return any(_is_single(tags, at) for at in own if at in facts or tags[at].kind != "line")


_A_BODY = frozenset(["runt", "floater", "jumper", "corpse", "goner", "deadun", "dead un", "dead'un"])
_OF_ONE = frozenset(["the", "another", "nother", "that", "this", "its", "our", "smallest", "biggest", "littlest"])
_SINGULAR_ENDS = frozenset("bcdefghjklmnpqrtvwxyz")  # the likes of "medaka" and "gardneri" may be many


def _is_single(tags: Sequence[Tag], at: int) -> bool:
    """Whether a word means one fish: "the juvenile", "dead lampeye", "its smallest fish"."""
    tag, before = tags[at], tags[max(0, at - _NEAR) : at]
    if tag.says("noun", "fish"):
        return any(t.word in ("smallest", "biggest", "littlest", "another") for t in before)
    if tag.says("noun", "juveniles", "adults"):
        return not _plural(tag.word)
    if tag.kind != "line" or tag.word[-1] not in _SINGULAR_ENDS:
        return False
    said = any(t.word in _OF_ONE or t.says("cue", "dead") for t in before)
    behind = tags[at + 1 : at + 1 + _NEAR]
    return said and not any(t.says("noun") or t.kind == "place" for t in behind[:1])  # "the lampeye fry"


_SEVERAL = frozenset(
    ["all", "some", "several", "few", "lot", "lots", "many", "most", "both", "whole", "them", "they", "those", "these"]
) | {"bodies", "losses", "deaths", "casualties", "everyone", "everything", "half", "rest", "single"}


def _is_many(tag: Tag) -> bool:
    """Whether a word tells of more fish than one, or of who knows how many."""
    sexed = tag.says("noun", "fry", "eggs", "male", "female", "juveniles", "adults", "pair", "trio")
    named = tag.kind == "line" and tag.word[-1] == "s"
    return tag.word in _SEVERAL or tag.says("noun", "fry", "eggs") or (sexed and _plural(tag.word)) or named


def one_each(events: Sequence[Raw]) -> None:
    """Who tells of a death and of no number means one fish as good as always; but it is not said."""
    for event in events:
        if event.pop("_one_likely", None) and event.get("count") is None:
            event["count"], event["_unsure"] = 1, True


def _plural(word: str) -> bool:
    return word.endswith("s") and (len(word) < 4 or not word.endswith("'s"))
