"""The question a note owes that logged nothing although it has the signs of something to log."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from itertools import pairwise

from bot.language.doubts.caution import anchored, is_strange, live_parts, signs_in
from bot.language.doubts.leftovers import question_for
from bot.language.eggs import left_in
from bot.language.reading import Doubt
from bot.language.remarks import AILING
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller


def owed(sentences: list[Sentence], teller: Teller) -> Doubt | None:
    """The question a note owes that logged nothing although it has the signs of something to log; None when it is plainly talk."""
    near: list[Tag] = []
    for sentence in sentences:
        live = [p for p in live_parts(sentence) if not left_in(p)]
        tags = [t for p in live for t in p.tags if t.note not in ("quoted", "muted", "idle") and not _ours(t, teller)]
        named = [t for t in tags if _names_something(t)]
        hinted = _hinted(sentence, tags)
        if not hinted and (bad := _bad_eggs_alone(tags)) is not None:
            return Doubt(sentence.text(), "Which tank or tub?", (), "place", {"kind": "bad_eggs", "count": bad})
        hinted = hinted or _tank_before_a_colon(sentence, teller)
        about = named or near or hinted
        near = named or hinted or (near if len(sentence.tags) < 12 else [])
        alone = len(sentences) == 1 and len(sentence.tags) <= 5
        signs = (
            _told_of_ours(sentence, hinted, teller)
            or _bargain(sentence, teller)
            or next((its for p in live if (its := signs_in(p)) and (about or anchored(p))), [])
            or [t for n, t in enumerate(tags) if about and _weighs(t, tags, n)]
            or _counted(tags)
            or [t for t in tags if about and alone and is_strange(t, teller) and not AILING.search(sentence.text())]
            or _given_or_changed(live)
            or _fed(tags)
        )
        if signs:
            return question_for(sentence, signs)
    return None


def _ours(tag: Tag, teller: Teller) -> bool:
    """Whether a tag is one of those who write here."""
    return tag.kind == "person" and tag.value in teller.names.people


def _names_something(tag: Tag) -> bool:
    """Whether a tag is a place, a batch or fish, one the room lacks among them."""
    return tag.kind in ("place", "batch", "line", "size", "culture") and bool(tag.value or tag.note)


def _hinted(sentence: Sentence, tags: list[Tag]) -> list[Tag]:
    """What a sentence names, also in a clause that tells nothing; else "the tank", "all" beside an amount."""
    named = [t for t in sentence.tags if _names_something(t) and t.note != "quoted"]
    if named or not any(t.kind in ("pct", "vol", "frac", "amount") for t in tags):
        return named
    return [t for t in tags if t.says("group") or t.says("noun", "tank")]


def _bad_eggs_alone(tags: list[Tag]) -> int | None:
    """The number of "3 bad" and no more."""
    bad = [(a, b) for a, b in pairwise(tags) if a.kind == "num" and a.low is None and b.says("cue", "bad", "bad_weak")]
    if len(bad) != 1 or len(tags) > 3 or bad[0][1] is not tags[-1] or bad[0][0].value != int(bad[0][0].value):
        return None
    return int(bad[0][0].value)


def _tank_before_a_colon(sentence: Sentence, teller: Teller) -> list[Tag]:
    first = sentence.tags[0]
    heads = len(sentence.parts) > 1 and sentence.parts[1].joiner == ":"
    return [first] if heads and first.kind == "num" and f"{first.value:g}" in teller.names.by_id else []


def _told_of_ours(sentence: Sentence, hinted: list[Tag], teller: Teller) -> list[Tag]:
    """The readings or figures that one of us told by word of mouth: "Ivo says 13 was at 24"."""
    heard = [p for p in sentence.parts if p.muted == "hearsay"]
    if not heard or not any(_ours(t, teller) for t in sentence.tags):
        return []
    read = [t for p in heard for t in p.tags if t.says("quantity")]
    if read and hinted and any(t.kind in ("num", "deg") for t in sentence.tags):
        return read
    figures = [t for t in sentence.tags if t.kind == "num" and t.low is None and t.note != "idle"]
    stated = any(t.word in _STATED for t in sentence.tags)
    return figures if stated and len(figures) + len(hinted) > 1 else []


def _counted(tags: list[Tag]) -> list[Tag]:
    """The numbers of eggs or fish."""
    return [
        a
        for n, (a, b) in enumerate(pairwise(tags))
        if a.kind == "num"
        and a.low is None
        and b.says("noun", "eggs", "fry", "juveniles", "adults")
        and not _at_least(tags, n)
    ]


def _given_or_changed(live: list[Part]) -> list[Tag]:
    """The number given to somebody or said of a group of tanks; else a change in some tank."""
    for part in live:
        figure = [
            t
            for n, t in enumerate(part.tags)
            if t.kind == "num" and t.note != "idle" and t.low is None and not (n and part.tags[n - 1].word == "in")
        ]
        given = part.cues("gave") and part.kind("person")
        grouped = len(part.tags) <= 6 and any(t.says("group") for t in part.tags)
        if figure and (given or grouped):
            return figure
        chore = part.cues("changed", "wc", "topoff")
        if chore and part.noun("tank") and len(part.tags) <= 8:
            return chore
    return []


def _fed(tags: list[Tag]) -> list[Tag]:
    """The food named, where an hour, a number or fish are, too."""
    fed = any(t.kind in ("clock", "num") or t.says("noun", "fry", "adults") for t in tags)
    return [t for t in tags if fed and t.says("food")]


_WHOSE = frozenset(["my", "our", "his", "her", "a", "the", "their"])


_KIN = frozenset(
    ["nephew", "niece", "sister", "brother", "cousin", "friend", "neighbor", "neighbour", "aunt", "uncle", "son",
     "daughter", "lady", "guy", "man", "woman", "kid", "boy", "girl", "teacher", "boss", "dentist", "grandson"]
)  # fmt: skip


def _bargain(sentence: Sentence, teller: Teller) -> list[Tag]:
    """Who wants how many of what, though it be said of days to come: a promise perhaps; "if" and "nothing's promised" make it none."""
    words = {w for t in sentence.tags for w in t.word.split()}
    if words & {"offered", "offer"} and words & {"passed", "declined", "refused", "said", "no", "bite", "interested"}:
        return []  # nothing came of it
    aside = re.search(
        r"\b(put|keep|hold|save|set) (them|it|him|her|those|one|two) (by|aside|back|for)\b", sentence.text()
    )
    if not aside and (
        words & {"if", "maybe", "might", "nothing", "nothing's", "or", "unless"}
        or any(p.muted in ("quoted", "hearsay") or p.asks for p in sentence.parts)
    ):
        return []
    people = [t for t in sentence.tags if t.kind == "person" and t.value not in teller.names.people]
    people += [two for one, two in pairwise(sentence.tags) if one.word in _WHOSE and two.word in _KIN]
    fish = [t for t in sentence.tags if t.kind in ("line", "batch") or t.says("noun", "pair", "trio")]
    numbers = [t for t in sentence.tags if t.kind == "num" or t.says("noun", "pair", "trio")]
    return people if people and (fish or words & {"wants", "want", "wanted"}) and numbers else []


def _at_least(tags: list[Tag], n: int) -> bool:
    """Whether a number is only a lower bound: "at least nine"."""
    return n > 1 and tags[n - 1].word == "least"


def _weighs(tag: Tag, tags: list[Tag], n: int) -> bool:
    """Whether a word beside a name of the room says that something was done, counted, promised or measured."""
    if (
        tag.kind == "num"
        and tag.value == 1
        and tag.note == "spelled"
        and n + 1 < len(tags)
        and tags[n + 1].word == "of"
    ):
        return False
    if tag.word in ("had", "has", "have", "now", "still") and tag.says("cue", "gave", "left"):
        return False
    if (
        tag.kind == "num"
        and n
        and tags[n - 1].word == "in"
        and (n + 1 == len(tags) or tags[n + 1].kind in ("day", "clock") or tags[n + 1].word in _OF_IT)
    ):
        return False  # "the boy in 1 has a split tail": which tank
    if tag.kind in ("num", "pct", "amount", "vol", "deg", "len", "frac", "money", "times"):
        return not _at_least(tags, n)
    if tag.kind == "person":
        return tag.note != "guess" or bool({t.word for t in tags} & _BARGAINS)
    if tag.senses and any(tag.says(sort) for sort in ("item", "substance", "food")):
        return not (tag.says("item") and _only_a_state(tags))
    if (
        tag.word in ("to", "into")
        and n + 1 < len(tags)
        and tags[n + 1].kind == "place"
        and any(t.kind in ("batch", "line", "place") for t in tags[:n])
    ):
        return True
    return tag.word in _HAPPENED or tag.says("cue", *_HAPPENED_CUES)


# Words after "in 9" that say how it is there, and count nothing.
_OF_IT = frozenset(["has", "is", "this", "are", "have", "look", "looks", "again", "today", "and", "with", "all"])
_STATES_ONLY = frozenset(["has", "have", "is", "are", "looks", "look", "seems", "smells", "got", "getting", "covered"])


def _only_a_state(tags: list[Tag]) -> bool:
    """Whether a clause says how a thing is and nothing that was done to it: "3 has some green algae on the glass"."""
    done = [t for t in tags if t.senses.get("cue") and t.note != "muted" and t.word not in _STATES_ONLY]
    return not done and any(t.word in _STATES_ONLY for t in tags)


_STATED = frozenset(["have", "counted", "are", "is", "was", "were", "had", "there's", "got"])


_BARGAINS = frozenset(
    ["wants", "want", "take", "took", "paid", "collect", "collects", "promised", "cancel", "cancelled", "cancels",
     "hold", "reserve", "confirmed", "confirms", "bought", "sold", "keep", "out", "free"]
)  # fmt: skip


# Ways of saying that something happened to fish, eggs or gear without the trade's own word for it; common usage.
_HAPPENED = frozenset(
    ["carpet", "lifeless", "gasped", "vanished", "short",
        "free", "tucked", "spare", "fitted", "installed", "gave up", "cracked", "binned", "tossed", "chucked", "ditched", "cancel", "cancels", "carry", "carried",
     "stirred", "wake", "drained", "emptied", "refilled", "swapped", "born", "arrived", "confirmed", "collects", "measured", "weighed", "isolated", "separated", "paired", "spawned", "laid", "dosed", "treated", "medicated"]
)  # fmt: skip


_HAPPENED_CUES = (
    "clean", "count", "lost", "put", "move", "start", "collect", "changed", "laid", "gave", "paid", "left",
    "mop_in",
)  # fmt: skip


_STATES = frozenset(
    ["clear", "cloudy", "looks", "look", "looking", "looked", "is", "are", "was", "smells", "smell", "smelled", "low",
     "high", "warm", "cold", "tea", "brown", "green", "yellow", "dirty", "murky", "under", "leaving", "leave", "out",
     "of"]
)  # fmt: skip


_SPOONS = frozenset(["spoonful", "spoonfuls", "spoon", "pinch", "scoop", "squirt", "capful", "dash", "splash"])


def more_than_talk(sentences: list[Sentence]) -> Doubt | None:
    """The question owed by a note that would be kept as a mere remark, though it speaks of water given, peat or a count."""
    for sentence in sentences:
        for part in live_parts(sentence):
            words = part.words()
            water = part.noun("water", "peat") and part.kind("place", "batch", "clock") and not words & _STATES
            shares = (
                part.noun("water") and words & {"third", "half", "quarter"} and part.cues("gave", "done", "changed")
            )
            still = "still" in words and part.kind("num") and len(part.tags) <= 4
            spooned = part.cues("gave") and (part.kind("amount") or part.sense("unit") or words & _SPOONS)
            if (
                (water or shares or still or (spooned and len(part.tags) <= 5))
                and not part.cues("laid")
                and not any(t.says("guard") for t in part.tags)
            ):
                return question_for(sentence, [t for t in part.tags if t.says("noun") or t.kind in ("num", "place")])
    return None
