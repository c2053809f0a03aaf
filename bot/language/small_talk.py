"""Sets apart what is told of other people, other things and other times: talk, of which nothing is logged.

What a clause says happened here only if it is said of the room: a clause that names a place or batch of ours is never
set apart, but for one told of years gone by. Else it depends on who did it, and to what.
"""

# ruff: noqa: SIM905  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.bystanders import (
    ALONE,
    BE,
    DEALT,
    DETERMINERS,
    DONE_TO,
    FEELING,
    FISHY,
    HABIT,
    HOME,
    KIN,
    LEADS,
    ONESELF,
    PEOPLE,
    POSSESSIVES,
    PRINT,
    SAYING,
    SELF,
    SOMEONES,
)
from bot.language.everyday import is_everyday
from bot.language.names import Names
from bot.language.scene import Part
from bot.language.tags import Tag

TALK = "talk"  # other matters
PAST = "past"
HEARSAY = "hearsay"
SET_APART = (TALK, PAST, HEARSAY)

_LONG_AGO = re.compile(
    r"\b(\w+ )?(years?|winters|summers|decades) ago\b|\blast (year|summer|winter|spring|fall|autumn)\b"
    r"|\bwhen i was (a|little|young|small|\d)\b|\bback in (college|school|high school|the day|my day|(19|20)\d\d)\b"
    r"|\bback when\b|\bin (19|20)\d\d\b|\b(i|we) once\b|\bi remember when\b|\bmy first \w+ was\b"
    r"|\bin the old days\b|\bthe old room\b|\bthat old\b"
)
_USED_TO = re.compile(r"\b(i|we|they|he|she|it|dad|mum|mom|\w+s) used to\b")


def set_apart(parts: list[Part], names: Names) -> None:
    """Mute the clauses of a sentence that are talk, and those that only go on with them."""
    for part in parts:
        if not part.muted and (why := is_talk(part, names)):
            part.muted = why
    for one, two in pairwise(parts):
        if one.muted in SET_APART and not two.muted and _goes_on(one, two, names):
            two.muted = one.muted
    for one, two in pairwise(parts):
        if two.muted and two.muted != "not" and not two.joiner and not one.muted and _only_when(one):
            one.muted = two.muted  # "maybe on the weekend I'll …": the day is that of the plan


def _only_when(part: Part) -> bool:
    """Whether a clause only says when what follows is to be."""
    return bool(part.kind("day", "clock")) and not part.senses_cue() and not part.kind("num", "place", "batch", "line")


def opens_talk(tags: list[Tag], n: int) -> bool:
    """Whether somebody else comes in at a tag as the subject of a clause: "… tank 3 my sister called"."""
    before = tags[n - 1]
    if before.kind in ("word", "lex") and (before.word in _HANGS_ON or before.says("cue") or before.says("hearsay")):
        return False
    if tags[n].word not in ("my", "the", "our", "a", "some") or n + 2 >= len(tags):
        return False
    return _people_at(tags, n) is not None or (tags[n].word in ("my", "our") and _foreign_subject(tags, n))


_HANGS_ON = frozenset(
    """
    to for from with by of at off and like about than on in into near under over behind beside as or but because since
    when while if told tell gave give sold show showed asked called says said that's is was were are be per after
    before the a my one via without let made has have had , -
    """.split()
)


def is_talk(part: Part, names: Names) -> str:
    """Why a clause tells of nothing in the room; "" where it may."""
    text = part.text()
    if _LONG_AGO.search(text):
        return PAST
    if of_the_room(part, names):
        return ""
    if _said_by_others(part, names) or _by_others(part, names):
        return HEARSAY
    if _USED_TO.search(text):
        return PAST
    return TALK if _other_matter(part) else ""


def of_the_room(part: Part, names: Names) -> bool:
    """Whether a clause names a place, batch or culture of ours, be it by its figure alone."""
    if part.kind("place", "batch", "culture", "size"):
        return True
    first, *rest = part.tags
    if first.kind == "num" and rest and rest[0].says("cue", "lost", "gave") and f"{first.value:g}" in names.by_id:
        return True  # "14 lost one overnight"
    for one, two in zip(part.tags, part.tags[1:], strict=False):
        if (
            two.kind == "num"
            and two.low is None
            and (one.word in ("in", "into", "from", "mop", "mops", "tank", "tub") or one.says("noun", "mop"))
            and f"{two.value:g}" in names.by_id
        ):
            return True
    return False


def _start(tags: list[Tag]) -> int:
    n = 0
    while n < len(tags) - 1 and tags[n].word in LEADS:
        n += 1
    return n


def _stem(word: str) -> str:
    return word.removesuffix("'s").removesuffix("s'")


def _people_at(tags: list[Tag], n: int) -> int | None:
    """Where the person, shop or beast stands that a clause has for its subject, if it has one."""
    if n >= len(tags):
        return None
    if _stem(tags[n].word) in ALONE:
        return n
    if tags[n].word not in DETERMINERS and tags[n].kind != "num":
        return None
    for m in range(n + 1, min(n + 4, len(tags))):
        tag = tags[m]
        if (
            tag.word == "baby"
            and m + 1 < len(tags)
            and tags[m + 1].word in ("was", "is", "has", "kept", "had", "cried")
        ):
            return m
        if _stem(tag.word) in PEOPLE:
            fish = _stem(tag.word) in FISHY and not (
                m + 1 < len(tags)
                and tags[m + 1].word in ("next", "at", "from", "across", "upstairs", "who", "in", "on")
            )
            return None if fish else m
        if (
            tag.word in BE
            or tag.kind not in ("word", "lex")
            or (tag.senses.get("cue") and not tag.says("cue", "clean"))
        ):
            return None
    return None


def _said_by_others(part: Part, names: Names) -> bool:
    """Whether a clause only repeats what somebody, a label or a book says."""
    if part.cues("hold", "release", "sold", "bought"):
        return False
    for n, tag in enumerate(part.tags):
        if tag.word not in SAYING or n == 0:
            continue
        before = part.tags[n - 1]
        if before.kind == "person":
            return before.value not in names.people
        if _stem(before.word) in PRINT | PEOPLE or (_people_at(part.tags, _start(part.tags)) or n) < n:
            return True
    return False


def _by_others(part: Part, names: Names) -> bool:
    """Whether somebody else, a shop or a beast is who does it."""
    tags, n = part.tags, _start(part.tags)
    dealt = part.cues(*DEALT) or part.words() & {"took", "wants", "ordered", "picked"}
    ours = bool(part.kind("line") or part.noun("pair", "trio"))
    own = any(t.word in POSSESSIVES for t in tags)
    if tags[n].kind == "person" and tags[n].value not in names.people:
        if dealt or len(tags) <= n + 1 or any(p.cues(*DEALT, "sold") for p in part.whole()):
            return False
        its = tags[n].word.endswith("'s") or tags[n + 1].word == "'s"
        return (
            its
            or own
            or bool(
                part.cues(
                    "pull", "wc", "changed", "feed", "move", "dead", "lost", "hatch", "laid", "count", "eyed", "crash"
                )
            )
        )
    at = _people_at(tags, n)
    if at is None:
        return False
    if dealt and ours and not own:
        return False  # "a friend took a pair of gardneri"
    if _stem(tags[at].word) in KIN and not tags[at].word.endswith("'s") and not own:
        helped = part.sense("food") or part.sense("group") or ours or part.noun("fry", "mop")
        return not (helped and part.senses_cue())  # "my daughter fed everyone"
    return True


def _other_matter(part: Part) -> bool:
    """Whether what a clause tells of, or what was done to, is nothing a fish room has."""
    tags, n = part.tags, _start(part.tags)
    first = tags[n]
    if first.word in SELF and n + 1 < len(tags) and (_muses(tags[n + 1 :]) or tags[n + 1].word in ONESELF):
        return True
    if _OF_THE_BODY.search(part.text()) and not part.noun() and not part.kind("line"):
        return True
    if part.kind("line", "culture") or part.sense("group"):
        return False
    if part.words() & HOME and not part.noun() and not part.sense("food") and not part.kind("person"):
        return True
    if _share_of_other(tags) or _IT_GOT.search(part.text()):
        return True
    if first.word in SELF:
        rest = [t for t in tags[n + 1 :] if t.word not in _HAD]
        if rest and not _trade(rest) and not _bare_numbers(rest):
            return True
    elif (first.word in DETERMINERS and _foreign_subject(tags, n)) or (
        first.word in ("there's", "there") and _foreign_object(tags, n + (first.word == "there"))
    ):
        return True
    done = any(_foreign_object(tags, m) for m, t in enumerate(tags) if t.says("cue", *DONE_TO))
    return done and not _trade([t for t in tags if not t.senses.get("cue")])


_HAD = frozenset("just also only really do have had got get gets has".split())
_IT_GOT = re.compile(r"^((and|but|so|oh|now) )*it('s| got| was| is) (down to|up to|so|too|hot|cold|snow\w*|rain\w*)\b")


def _share_of_other(tags: list[Tag]) -> bool:
    """ "10% of the staff", "half of my tomatoes"."""
    return any(
        one.kind in ("pct", "frac") and of.word == "of" and the.word in DETERMINERS and _foreign(what)
        for one, of, the, what in zip(tags, tags[1:], tags[2:], tags[3:], strict=False)
    )


def _muses(rest: list[Tag]) -> bool:
    """Whether "I" goes on with a habit or a feeling: "I always forget …", "I love how …"."""
    rest = [t for t in rest if t.word not in ("just", "also", "only", "really", "do", "could", "was", "am", "keep")]
    if len(rest) < 2:
        return False
    return rest[0].word in HABIT or (
        rest[0].word in (*FEELING, "thinking", "wondering")
        and (
            rest[1].word in ("how", "that", "when", "why", "what", "about", "watching", "to") or not _bare_numbers(rest)
        )
    )


_OF_THE_BODY = re.compile(
    r"(?<!with )(?<!by )(?<!on )(?<!over )"
    r"\b(my|his|her|their) (left |right |bad |poor )?(shoulders?|backs?|knees?|neck|legs?|arms?|foot|feet|ankles?"
    r"|hips?|wrists?|thumbs?|fingers?|hands?|throat|tooth|teeth|glasses|temperature|blood|appointment|sleep|phone|car|truck|house|kitchen)\b"
)


def _trade(tags: list[Tag]) -> bool:
    """Whether any of the words belong to the trade."""
    return any(
        t.kind in ("line", "batch", "place", "culture", "size", "amount", "pct", "deg")
        or (t.senses and (t.senses.keys() - {"guard", "hearsay", "unit"}) and t.word not in LEADS)
        for t in tags
    )


def _foreign(tag: Tag) -> bool:
    """Whether a noun means nothing in a fish room."""
    word = _stem(tag.word)
    return (
        tag.kind == "word"
        and word.isalpha()
        and word not in _ENDS
        and len(word) > 2
        and is_everyday(word)
        and not {word, word.removesuffix("s")} & FISHY
        and not word.endswith(("est", "ly"))
    )


def _bare_numbers(tags: list[Tag]) -> bool:
    """Whether a number stands there that may count anything: "I got 14", but not "I had 3 meetings"."""
    return any(
        t.kind in ("num", "frac", "vol")
        and not (t.kind == "num" and n + 1 < len(tags) and _foreign(tags[n + 1]))
        and not (n and tags[n - 1].word in ("at", "until", "till"))
        for n, t in enumerate(tags)
    )


def _foreign_subject(tags: list[Tag], n: int) -> bool:
    """Whether "the toilet is …" begins the clause: a thing no fish room has."""
    for m in range(n + 1, min(n + 5, len(tags))):
        if tags[m].word in BE or (m > n + 1 and tags[m].kind == "word" and tags[m].word.endswith("ed")):
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


def _goes_on(one: Part, two: Part, names: Names) -> bool:
    """Whether a clause without a subject of its own goes on with the talk before it."""
    n = _start(two.tags)
    first = two.tags[n]
    if of_the_room(two, names):
        return False
    if one.muted == PAST:
        return not two.kind("day")
    if one.muted == HEARSAY and one.tags[-1].word in SAYING and one.tags[-2].word not in SOMEONES:
        return True  # "like Petra says, …"
    if first.word in SELF or (two.sense("group") and two.cues("feed", "wc", "changed")):
        return False
    if one.muted == TALK:
        return not two.senses_cue() and not _trade(two.tags) and not _bare_numbers(two.tags)
    if first.word in SOMEONES:
        return True
    if two.joiner in ("and", "but", "or", "because", "so", "as", "while", "which", "who", "where") or not two.joiner:
        return first.kind in ("word", "lex") and not first.says("noun") and first.kind != "line"
    return not two.senses_cue() and not _trade(two.tags) and not _bare_numbers(two.tags)
