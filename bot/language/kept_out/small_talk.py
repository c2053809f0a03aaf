"""Sets apart what is told of other people, other things and other times: talk, of which nothing is logged.

What a clause says happened here only if it is said of the room: a clause that names a place or batch of ours is never
set apart, but for one told of years gone by. Else it depends on who did it, and to what.
"""

# ruff: noqa: SIM905  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.asking.questions import part_asks
from bot.language.kept_out.bystanders import (
    ALONE,
    BE,
    DEALT,
    DETERMINERS,
    FISHY,
    KIN,
    MEDIA,
    PEOPLE,
    POSSESSIVES,
    PRINT,
    SAYING,
    SELF,
    SOMEONES,
)
from bot.language.kept_out.chatter import chats
from bot.language.kept_out.other_matters import (
    bare_numbers,
    foreign_subject,
    of_the_trade,
    other_matter,
    start_of,
    stem,
)
from bot.language.kept_out.others_news import owns
from bot.language.kept_out.ours import of_the_room
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.text.names import Names

SAID_ASIDE = "aside"  # the note of a tag that surely tells nothing here
TALK = "talk"
PAST = "past"
HEARSAY = "hearsay"
_ORDERS = ("remind", "snooze", "undo", "fix")  # said to the hand itself, of anything

_LONG_AGO = re.compile(
    r"\b(years?|winters|summers|decades) ago\b|\blast (year|summer|winter|spring|fall|autumn)\b"
    r"|\bwhen i was (a|little|young|small|\d)\b|\bback in (college|school|high school|the day|my day|(19|20)\d\d)\b"
    r"|\bback when\b|\bin (19|20)\d\d\b|\b(i|we) once\b|\bi remember when\b|\bmy first \w+ was\b"
    r"|\bin the old days\b|\bthe old room\b|\bthat old\b"
)
_OF_OLD = ("ago", "last ", "when i was", "back ", "in 19", "in 20", " once", "remember", "my first", " old")
_ASKED_ABOUT = re.compile(r"\b(asked|asks|asking) (\w+ )?(about|if|whether|how|what|when|why)\b")
_USED_TO = re.compile(r"\b(i|we|they|he|she|it|dad|mum|mom|\w+s) used to\b")


def set_apart(sentence: Sentence, names: Names) -> None:
    """Mute the clauses of a sentence that are talk, and take them out where something else is told beside them."""
    parts = sentence.parts
    for part in parts:
        if part.muted in ("", "wish", HEARSAY) and (why := is_talk(part, names)):
            part.muted, part.apart = why, True
    _set_chatter_apart(sentence, names)
    for one, two in pairwise(parts):
        if one.apart and two.muted in ("", "plan", "wish", "if") and _goes_on(one, two, names):
            two.muted, two.apart = one.muted, True
    for one, two in pairwise(parts):
        if two.muted and two.muted != "not" and not two.joiner and not one.muted and _only_when(one):
            one.muted, one.apart = two.muted, two.apart  # "maybe on the weekend I'll …": the day is that of the plan
    for part in parts:
        if part.apart and not (part.muted == TALK and part.senses_cue()):
            for tag in part.tags:
                tag.note = tag.note or SAID_ASIDE
    live = [p for p in parts if not p.apart or _leads_on(p)]
    if len(live) == len(parts) or sentence.stop == "?" or all(p.apart for p in parts):
        return
    if not any(part_asks(p) for p in live):
        _take_out(sentence, live)


def _set_chatter_apart(sentence: Sentence, names: Names) -> None:
    """Mute what sounds like talk by its weights: a whole sentence of no place of ours, or a clause beside one."""
    if sentence.stop == "?":
        return
    others = [p for p in sentence.parts if not of_the_room(p, names)]
    live = [p for p in others if p.muted in ("", "wish", HEARSAY)]
    if not live or any(p.asks or p.cues(*_ORDERS) for p in sentence.parts):
        return
    whole = len(others) == len(sentence.parts) and chats(sentence.tags)
    for part in live:
        if whole or (part.tags != sentence.tags and chats(part.tags)):
            part.muted, part.apart = part.muted or TALK, True


_SAID_BEFORE = frozenset("said sent told meant wrote put typed logged".split())


def _leads_on(part: Part) -> bool:
    """Whether what others tell may lean on a clause of talk: who came, what is asked or reminded of, what was said."""
    return bool(
        part.kind("person")
        or part.cues("remind", "snooze", "fix", "undo")
        or (part.words() & SELF and part.words() & _SAID_BEFORE)
    )


def _take_out(sentence: Sentence, live: list[Part]) -> None:
    """Leave only the clauses that are no talk, as if the others had not been said."""
    talk = {id(t) for p in sentence.parts if not any(p is other for other in live) for t in p.tags}
    held = {id(t) for p in live for t in p.tags}
    tags: list[Tag] = []
    for tag in sentence.tags:
        if id(tag) in talk:
            while tags and id(tags[-1]) not in held:
                tags.pop()  # what joined it on
        elif tags or id(tag) in held:
            tags.append(tag)
    sentence.parts, sentence.tags = live, tags
    for one, two in pairwise([None, *live, None]):
        if one is not None:
            one.after = two
        if two is not None:
            two.before = one


def _only_when(part: Part) -> bool:
    """Whether a clause only says when what follows is to be."""
    return bool(part.kind("day", "clock")) and not part.senses_cue() and not part.kind("num", "place", "batch", "line")


def opens_talk(tags: list[Tag], n: int) -> bool:
    """Whether somebody else comes in at a tag as the subject of a clause: "… tank 3 my sister called"."""
    before = tags[n - 1]
    if before.kind in ("word", "lex") and (
        before.word in _HANGS_ON
        or before.says("cue", "gave", "sold", "paid", "bought", "hold")
        or before.says("hearsay")
    ):
        return False
    if n + 2 >= len(tags):
        return False
    if tags[n].kind == "person" and not tags[n].word.endswith("'s"):
        return tags[n + 1].word in _COMES_IN
    if tags[n].word not in ("my", "the", "our", "a", "some"):
        return False
    if tags[n + 1].word in PRINT and tags[n + 2].word in SAYING:
        return True
    return _people_at(tags, n) is not None or (tags[n].word in ("my", "our") and foreign_subject(tags, n))


_COMES_IN = SAYING | frozenset("came called rang phoned texted says said asked told stopped sent left visited".split())
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
    if any(words in text for words in _OF_OLD) and _LONG_AGO.search(text):
        return PAST
    if "ask" in text and _ASKED_ABOUT.search(text):
        return HEARSAY
    if of_the_room(part, names):
        return ""
    if _said_by_others(part, names) or _by_others(part, names):
        return HEARSAY
    if "used to" in text and _USED_TO.search(text):
        return PAST
    return TALK if other_matter(part) else ""


def _people_at(tags: list[Tag], n: int) -> int | None:
    """Where the person, shop or beast stands that a clause has for its subject, if it has one."""
    if n >= len(tags):
        return None
    if stem(tags[n].word) in ALONE:
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
        if stem(tag.word) in PEOPLE:
            fish = stem(tag.word) in FISHY and not (
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
        if stem(before.word) in PRINT | PEOPLE or (_people_at(part.tags, start_of(part.tags)) or n) < n:
            return True
    return False


def _by_others(part: Part, names: Names) -> bool:
    """Whether somebody else, a shop or a beast is who does it."""
    tags, n = part.tags, start_of(part.tags)
    dealt = part.cues(*DEALT) or part.words() & {"took", "wants", "ordered", "picked"}
    ours = bool(part.kind("line") or part.noun("pair", "trio"))
    own = any(t.word in POSSESSIVES for t in tags)
    if tags[n].kind == "person" and tags[n].value not in names.people:
        if dealt or len(tags) <= n + 1 or any(p.cues(*DEALT, "sold") for p in part.whole()):
            return False
        its = owns(tags[n], tags[n + 1])
        return (
            its
            or own
            or bool(
                part.cues(
                    "pull", "wc", "changed", "feed", "move", "dead", "lost", "hatch", "laid", "count", "eyed", "crash"
                )
            )
        )
    of_a_member = tags[n].kind == "person" and tags[n].word.endswith("'s") and n + 1 < len(tags)
    if of_a_member and (tags[n + 1].word in PEOPLE or tags[n + 1].word in ("boy", "girl", "family")):
        return True  # "Ivo's boy"
    at = _people_at(tags, n)
    if at is None:
        return False
    if dealt and ours and not own:
        return False  # "a friend took a pair of gardneri"
    if stem(tags[at].word) in KIN and not tags[at].word.endswith("'s") and not own:
        done_to = Part(tags[at + 1 :])
        helped = part.sense("food") or part.sense("group") or ours or done_to.noun("fry", "mop")
        return not (helped and part.senses_cue())  # "my daughter fed everyone"
    return True


def _goes_on(one: Part, two: Part, names: Names) -> bool:
    """Whether a clause without a subject of its own goes on with the talk before it."""
    n = start_of(two.tags)
    first = two.tags[n]
    if of_the_room(two, names):
        return False
    if one.muted == PAST:
        return not two.kind("day")
    if one.muted == HEARSAY and one.tags[-1].word in SAYING and one.tags[-2].word not in SOMEONES:
        return True  # "like Petra says, …"
    if first.word in SELF or (two.sense("group") and two.cues("feed", "wc", "changed")):
        return False
    if (
        two.words() & {"them", "of them", "of those"}
        and not two.noun("eggs", "fry")
        and two.joiner in ("and", "but", ",")
    ):
        return True  # "I bought 6 donuts and ate 4 of them"
    if one.muted == HEARSAY and one.senses_cue() and not two.senses_cue() and not two.kind("line"):
        return True  # "they said they lost a whole shipment, 60 fish"
    if one.muted == TALK and first.word in POSSESSIVES and one.kind("person"):
        return True  # "I talked to Petra and her killis are all dying"
    if two.joiner == "and" and len(two.tags) <= 4 and not two.senses_cue() and not two.kind("line") and not one.joiner:
        return True  # "grandma fed the kids pancakes and 6 eggs each"
    if (
        one.muted == TALK
        and first.word in ("both", "all", "each", "neither")
        and not two.noun()
        and not two.kind("line")
    ):
        return True
    if one.muted == TALK and first.kind == "word" and first.word.endswith("ed") and not of_the_trade(two.tags):
        return True  # "… and mailed 1"
    if one.muted == TALK:
        return (
            not two.kind("day", "clock", "person")
            and not two.senses_cue()
            and not of_the_trade(two.tags)
            and not bare_numbers(two.tags)
        )
    if first.word in SOMEONES or one.words() & MEDIA:
        return True
    if two.joiner in ("-", "(", '"'):
        return False
    goes_on = first.kind in ("word", "lex") and not first.says("noun")
    if goes_on and (
        two.joiner in ("and", "but", "or", "because", "so", "as", "while", "which", "who", "where") or not two.joiner
    ):
        return True
    return not two.senses_cue() and not of_the_trade(two.tags) and not bare_numbers(two.tags)
