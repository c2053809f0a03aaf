"""Whether a clause tells of things that no fish room has: the old bike, the rent, a bad back."""

# ruff: noqa: SIM905  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.kept_out.bystanders import (
    BE,
    DETERMINERS,
    DONE_TO,
    FEELING,
    FISHY,
    HABIT,
    HOME,
    KITCHEN,
    LEADS,
    ONESELF,
    SELF,
    SOMEONES,
)
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.text.everyday import is_everyday


def start_of(tags: list[Tag]) -> int:
    n = 0
    while n < len(tags) - 1 and tags[n].word in LEADS:
        n += 1
    return n


def stem(word: str) -> str:
    return word.removesuffix("'s").removesuffix("s'")


def other_matter(part: Part) -> bool:
    """Whether what a clause tells of, or what was done to, is nothing a fish room has."""
    tags, n = part.tags, start_of(part.tags)
    first = tags[n]
    if first.word in HABIT or (part.words() & KITCHEN and not part.kind("place", "line")):
        return True
    if first.word in SELF and n + 1 < len(tags) and (_muses(tags[n + 1 :]) or tags[n + 1].word in ONESELF):
        return True
    if _OF_THE_BODY.search(part.text()) and not part.noun() and not part.kind("line"):
        return True
    if first.word in ("my", "our") and n + 1 < len(tags) and tags[n + 1].word in HOME:
        return True
    if part.kind("line", "culture") or part.sense("group"):
        return False
    if (
        part.words() & HOME
        and not part.cues("feed")
        and not part.noun()
        and not part.sense("food")
        and not part.kind("person")
    ):
        return True
    if _share_of_other(tags) or _paid_for_other(tags) or _IT_GOT.search(" ".join(t.word for t in tags[n:])):
        return True
    if first.word in SELF:
        rest = [t for t in tags[n + 1 :] if t.word not in _HAD]
        if rest and not of_the_trade(rest) and not bare_numbers(rest):
            return True
    elif _begins_with_another(tags, n):
        return True
    if _counts_other(tags) and not of_the_trade([t for t in tags if not t.senses.get("cue")]):
        return True
    done = any(_foreign_object(tags, m) for m, t in enumerate(tags) if t.says("cue", *DONE_TO))
    return done and not of_the_trade([t for t in tags if not t.senses.get("cue")])


def _counts_other(tags: list[Tag]) -> bool:
    """Whether the numbers of a clause count what no fish room has ("found 5 coins"), or hours gone by."""
    pairs = list(pairwise(tags))
    nums = [(one, two) for one, two in pairs if one.kind == "num"]
    if any(one.says("cue", "pull", "move", "count") and two.kind == "dur" for one, two in pairs):
        return True  # "I pulled 12 hours today"
    others = [two for _, two in nums if _foreign(two) and two.word.endswith("s")]
    return bool(nums) and len(others) == sum(1 for t in tags if t.kind == "num")


def _begins_with_another(tags: list[Tag], n: int) -> bool:
    """Whether a clause is about a thing of no fish room: "lunch was …", "the toilet is …", "there's a new show"."""
    first = tags[n]
    if _foreign(first):
        return n + 1 < len(tags) and tags[n + 1].word in ("is", "was", "were", "are", "cost", "costs")
    if first.word in ("there's", "there"):
        return _foreign_object(tags, n + (first.word == "there"))
    return first.word in DETERMINERS and foreign_subject(tags, n)


_HAD = frozenset("just also only really do have had got get gets has".split())
_IT_GOT = re.compile(
    r"^it('s| has) been (a|one|such)\b"
    r"|^it('s| got| was| is) (down to|up to|so|too|hot|cold|snow\w*|rain\w*|nearly|almost|past"
    r"|gone)\b|\boutside\b"
)


def _paid_for_other(tags: list[Tag]) -> bool:
    """ "paid 62 for gas", "owe him 20 for the pizza"."""
    if any(one.word in ("cost", "costs") and two.word in ("me", "us") for one, two in pairwise(tags)):
        return len(tags) > 3 or not any(t.kind == "money" for t in tags)  # ", cost me $16" is said of the fish
    paid = any(t.says("cue", "paid") or t.word in ("owe", "owed", "spent") for t in tags)
    return paid and any(
        one.word in ("for", "on") and (_foreign(two) or (two.word in DETERMINERS and _foreign(three)))
        for one, two, three in zip(tags, tags[1:], [*tags[2:], tags[0]], strict=False)
    )


def _share_of_other(tags: list[Tag]) -> bool:
    """ "10% of the staff", "half of my tomatoes"."""
    return any(
        one.kind in ("pct", "frac") and of.word == "of" and the.word in DETERMINERS and _foreign(what)
        for one, of, the, what in zip(tags, tags[1:], tags[2:], tags[3:], strict=False)
    ) or any(
        one.kind == "pct" and off.word == "off" and _foreign(what)
        for one, off, what in zip(tags, tags[1:], tags[2:], strict=False)
    )


_ABOUT = frozenset("think talked argued joked laughed chatted dreamed dreamt heard".split())


def _muses(rest: list[Tag]) -> bool:
    """Whether "I" goes on with a habit or a feeling: "I always forget …", "I love how …"."""
    if len(rest) > 1 and rest[0].word in _ABOUT and rest[1].word in ("of", "about", "over"):
        return True
    rest = [t for t in rest if t.word not in ("just", "also", "only", "really", "do", "could", "was", "am", "keep")]
    if len(rest) < 2:
        return False
    return rest[0].word in HABIT or (
        rest[0].word in (*FEELING, "thinking", "wondering")
        and (
            rest[1].word in ("how", "that", "when", "why", "what", "about", "watching", "to") or not bare_numbers(rest)
        )
    )


_OF_THE_BODY = re.compile(
    r"(?<!with )(?<!by )(?<!on )(?<!over )"
    r"\b(my|his|her|their) (left |right |bad |poor )?(shoulders?|backs?|knees?|neck|legs?|arms?|foot|feet|ankles?"
    r"|hips?|wrists?|thumbs?|fingers?|hands?|throat|tooth|teeth|glasses|temperature|blood|appointment|sleep|phone|car|truck|house|kitchen)\b"
)


def of_the_trade(tags: list[Tag]) -> bool:
    """Whether any of the words belong to the trade."""
    return any(
        t.kind in ("line", "batch", "place", "culture", "size", "amount", "pct", "deg")
        or (t.senses and (t.senses.keys() - {"guard", "hearsay", "unit"}) and t.word not in LEADS)
        for t in tags
    )


def _foreign(tag: Tag) -> bool:
    """Whether a noun means nothing in a fish room."""
    word = stem(tag.word)
    return (
        tag.kind == "word"
        and word.isalpha()
        and word not in _NO_THING
        and len(word) > 2
        and is_everyday(word)
        and not {word, word.removesuffix("s")} & FISHY
        and not word.endswith(("est", "ly"))
    )


_NO_NOUNS = frozenset(
    """
    there here what where how who why when which you your yours mine ours theirs too very not never ever far near much
    many more most less least any each either neither such same sure quite rather pretty really about almost maybe
    perhaps soon later already yet away back together done gone seen left right fine okay good bad nice first second
    third next only own worth plenty enough nothing anything everything somewhere anywhere
    """.split()
)


def _unknown(tag: Tag) -> bool:
    """Whether a word is none of ours nor of everyday English: "2 aspirin"."""
    return tag.kind == "word" and tag.word.isalpha() and len(tag.word) > 4 and not is_everyday(tag.word)


def bare_numbers(tags: list[Tag]) -> bool:
    """Whether a number stands there that may count anything: "I got 14", but not "I had 3 meetings"."""
    return any(
        t.kind in ("num", "frac", "vol")
        and not (t.kind == "num" and n + 1 < len(tags) and (_foreign(tags[n + 1]) or _unknown(tags[n + 1])))
        and not (n + 2 < len(tags) and tags[n + 1].word in ("of", "for") and any(map(_foreign, tags[n + 2 : n + 4])))
        and not (n and tags[n - 1].word in ("at", "until", "till"))
        and not (n + 2 < len(tags) and tags[n + 1].word == "or" and tags[n + 2].kind == "word")
        for n, t in enumerate(tags)
    )


def foreign_subject(tags: list[Tag], n: int) -> bool:
    """Whether "the toilet is …" begins the clause: a thing no fish room has."""
    for m in range(n + 1, min(n + 5, len(tags))):
        done = m > n + 1 and tags[m].kind == "word" and tags[m].word.endswith("ed")
        if done or tags[m].word.partition(" ")[0] in BE:
            return m > n + 1 and _foreign(tags[m - 1])
        if m > n + 1 and tags[m].word in ("for", "in", "on", "from", "at", "behind", "under", "next", "of"):
            return _foreign(tags[m - 1]) and any(t.word in BE for t in tags[m + 1 :])
        if tags[m].kind != "word" and tags[m].word not in _QUALITIES:
            return False
    return False


_QUALITIES = frozenset("new fresh spare dead white clear clean small large big old good".split())


def _foreign_object(tags: list[Tag], m: int) -> bool:
    """Whether what was done at a tag was done to a thing no fish room has: "sold the old bike", "lost 4 pounds"."""
    k = m + 1
    many = False
    if k < len(tags) and tags[k].word in ("up", "out", "off", "down"):
        k += 1
    if k < len(tags) and tags[k].kind == "num":
        many, k = tags[k].value != 1, k + 1
    elif not (k < len(tags) and tags[k].word in DETERMINERS):
        return k < len(tags) and _foreign(tags[k]) and tags[k].word.endswith("s") and k + 1 < len(tags)
    else:
        k += 1
    head = None
    while k < len(tags) and (tags[k].kind == "word" or tags[k].word in _QUALITIES) and tags[k].word not in _ENDS:
        head, k = tags[k], k + 1
    if head is None or (k < len(tags) and tags[k].word not in _ENDS and tags[k].kind not in ("punct", "day", "clock")):
        return False
    return _foreign(head) and (not many or head.word.endswith("s") or head.word in ("people", "teeth", "children"))


_ENDS = frozenset(
    """
    to for from with by of at off and like about than on in into near under over behind as or but because since when
    while if after before again today yesterday now too also this that last all up out down is was were are which who
    twice once
    """.split()
)
_NO_THING = _ENDS | LEADS | DETERMINERS | SELF | SOMEONES | BE | _NO_NOUNS
