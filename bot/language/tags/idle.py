"""Numbers and marks that say nothing of their own: "that one", "15 of the 24", dashes at the heads of rows."""

from __future__ import annotations

from itertools import pairwise

from bot.language.tags.plain_words import ARTICLES, COUNTED
from bot.language.tags.tag import Marked, Tag

_UNCOUNTED = frozenset(
    ["inches", "minutes", "inch", "hours", "buckets", "people", "tanks", "tubs", "hour", "years", "thirds", "mins",
     "mops", "feet", "sponges", "kids", "grandkids", "jars", "bags", "pages", "emails", "messages", "calls", "songs",
     "beers", "coffees", "cups", "tries", "attempts", "nets", "bucketfuls", "months", "places", "corners", "clumps",
     "racks", "shelves", "sites", "goes", "trips", "rinses"]
)  # fmt: skip

_POINTING = frozenset(
    ["this", "that", "the", "other", "last", "another", "each", "every", "which", "old", "new", "dead", "cream",
     "first", "no", "big", "little", "white", "only", "next", "good", "bad", "same", "small", "biggest", "best",
     "smaller", "a", "green", "right", "wrong", "left", "empty", "fresh", "spare", "clean"]
)  # fmt: skip
_NUMBERED = frozenset(
    ["gen", "generation", "number", "chapter", "channel", "page", "version", "area", "zone", "route", "aisle"]
)
_TO_DO = frozenset(
    ["see", "do", "say", "get", "tell", "be", "go", "me", "you", "count", "work", "look", "find", "it", "sort",
     "buy", "clean", "make", "lay", "hatch", "feed"]
)  # fmt: skip
_FOR_WHOM = frozenset(
    ["spare", "me", "now", "sale", "him", "her", "sure", "ever", "it", "them", "us", "tea", "dinner", "bed"]
)
_BESIDE_ONE = frozenset(
    ["by", "time", "day", "night", "week", "thing", "or", "clump", "inch", "hour", "another", "that", "is", "was",
     "who", "looks", "has", "when", "way", "side", "corner", "end"]
)  # fmt: skip
_BEFORE_A_COUNT = frozenset(
    ["in", "had", "got", "just", "only", "lost", "from", "on", "of", "and", "to", "eggs", "maybe", "another"]
)


def idle_numbers(marked: Marked) -> None:
    """Numbers that count nothing: "that one", "one of these days", "both tanks"."""
    for n, tag in enumerate(marked.tags):
        if tag.kind == "num" and _is_idle(marked, n):
            tag.kind, tag.note = "word", "idle"


def _is_idle(marked: Marked, n: int) -> bool:
    """Whether a number counts nothing that was done."""
    tag, tags = marked.tags[n], marked.tags
    before = tags[n - 1].word if n else ""
    follows = tags[n + 1] if n + 1 < len(tags) else None
    after = follows.word if follows is not None else ""
    if follows is not None and follows.says("noun", "tank") and follows.word.endswith("s") and tag.low is None:
        return True  # "did three bowls"
    if (
        before in ("makes", "that's", "making")
        and follows is not None
        and follows.kind == "day"
        and follows.value.vague
    ):
        return True  # "that makes two this week"
    if after in ("more", "fewer", "less") and n + 2 < len(tags) and tags[n + 2].word == "than":
        return True  # "3 more than yesterday"
    if before == "only" and n > 1 and tags[n - 2].kind == "place":
        return False  # "to tub B only one"
    if before in ("only", "just") and any(t.says("noun", *COUNTED) for t in tags[n + 1 : n + 3]):
        return False  # "only one fluffy egg"
    if n and before in ARTICLES and follows is not None and follows.says("group"):
        return True  # "the three egg tubs"
    if _of_so_many(tags, n):
        return True
    if n > 1 and before == "take" and tags[n - 2].word in ("or", "and"):
        return True
    if (after in _UNCOUNTED and before not in (",", "and", "&")) or before in _NUMBERED:
        return True
    if before == "day":
        return follows is None or follows.kind != "line"  # day three; "new fish day six cories" came in
    return _figure_for_a_word(marked, n) or (
        tag.value == 1 and tag.note == "spelled" and _is_pronoun(marked, n, before, after)
    )


_BECAME = ("hatch", "eyed", "bad", "dead")


def _of_so_many(tags: list[Tag], n: int) -> bool:
    """ "15 of the 24", "80, of which 3 were small", "5 of 52 hatched", "six of the 12 eggs": what it is a part of."""
    tag, lead = tags[n], [t.word for t in tags[max(0, n - 2) : n]]
    follows = tags[n + 1] if n + 1 < len(tags) else None
    if lead == ["of", "the"]:
        if follows is not None and follows.word in ("eggs", "fry", "fish", "egg"):
            return True
        return any(t.kind == "num" and t.value < tag.value for t in tags[max(0, n - 5) : n - 2])
    if lead == ["of", "which"]:
        return not any(t.says("cue", "bad_weak", *_BECAME) for t in tags[n + 1 : n + 4])
    if lead[1:] != ["of"] or tags[n - 2].kind != "num" or not tags[n - 2].value < tag.value or follows is None:
        return False
    became = any(t.says("cue", *_BECAME) for t in [follows, *tags[max(0, n - 4) : n - 2]])
    return became or follows.word in ("have", "are", "were")


def _figure_for_a_word(marked: Marked, n: int) -> bool:
    """ "Push 2 mon", "bbs 2 tk11", "vinegar eels 4 tub E": "to" and "for" written as figures."""
    tag, tags = marked.tags[n], marked.tags
    raw = marked.items[tag.at].raw
    if raw not in ("2", "4"):
        return False
    before, follows = tags[n - 1] if n else None, tags[n + 1] if n + 1 < len(tags) else None
    after = follows.word if follows is not None else ""
    if before is not None and follows is not None:
        if raw == "2" and before.says("cue", "snooze") and follows.kind == "day":
            return True
        named = follows.kind == "place" and follows.value and follows.note != "bare"
        if named and (before.says("food") or before.says("substance")):
            return True
    if before is not None and before.word in ("in", "from", "of", "on", "tank", "tub"):
        return False  # "how many in 4 now"
    return (raw == "2" and after in _TO_DO) or (raw == "4" and after in _FOR_WHOM)


def _is_pronoun(marked: Marked, n: int, before: str, after: str) -> bool:
    """Whether "one" counts nothing: "that one", "one of the clumps", "a good one."."""
    if n and marked.tags[n - 1].kind in ("pct", "frac", "vol", "len", "deg"):
        return True  # a 30 % one
    if before in _POINTING or after in _BESIDE_ONE:
        return True
    if n > 1 and marked.tags[n - 1].kind == "day" and marked.tags[n - 2].word in ("the", "that", "last"):
        return True  # the monday one
    return after in ("", ",", ".", "!", "?", "\n") and before.isalpha() and before not in _BEFORE_A_COUNT


def drop_bullets(marked: Marked) -> None:
    """Dashes and boxes at the heads of rows say nothing of their own; a ticked box says done, an empty one not done."""
    out: list[Tag] = []
    opens, skip = True, False
    for n, tag in enumerate(marked.tags):
        after = marked.tags[n + 1] if n + 1 < len(marked.tags) else None
        if tag.word == "\n":
            opens, skip = True, False
        elif skip or (
            opens
            and tag.kind == "punct"
            and tag.word in ("-", "*", "+")
            and after is not None
            and not marked.glued[after.at]
        ):
            continue
        elif (
            opens
            and tag.word == "["
            and after is not None
            and (after.word == "]" or (after.word in ("x", "✓") and marked.w(after.upto) == "]"))
        ):
            skip = after.word == "]"
            if not skip:
                after.kind, after.word, after.senses = "lex", "✓", {"cue": frozenset({"done"})}
            continue
        elif tag.word == "]" and n and marked.tags[n - 1].word == "✓":
            continue
        else:
            opens = False
        out.append(tag)
    marked.tags = out


def numbered_rows(marked: Marked) -> None:
    """Rows numbered "1." "2." "3.": the numbers say nothing."""
    rows = [
        n
        for n, t in enumerate(marked.tags[:-1])
        if t.kind == "num" and (n == 0 or marked.tags[n - 1].word == "\n") and marked.tags[n + 1].word in (".", ")")
    ]
    for n, (one, two) in enumerate(pairwise(marked.tags[:-1])):  # "p1: …", "p2: …": pages
        opens = n == 0 or marked.tags[n - 1].word == "\n"
        if (
            opens
            and one.word in ("p", "pg", "page")
            and two.kind == "num"
            and marked.tags[n + 2].word in (":", ".", ")")
        ):
            two.kind, two.note = "word", "idle"
            one.note, one.word = "idle", ""
            marked.tags[n + 2].word, marked.tags[n + 2].kind = "", "punct"
    values = [marked.tags[n].value for n in rows]
    if len(rows) >= 2 and values == [float(k) for k in range(1, len(rows) + 1)]:
        for n in rows:
            marked.tags[n].kind, marked.tags[n].note = "word", "idle"
            marked.tags[n + 1].kind = "punct"


def neither_of(marked: Marked) -> None:
    """ "Neither 2 nor 3 had eggs": the numbers are tanks."""
    tags = marked.tags
    for n in range(len(tags) - 3):
        if tags[n].word != "neither" or tags[n + 2].word != "nor":
            continue
        for tag in (tags[n + 1], tags[n + 3]):
            if tag.kind == "num" and tag.low is None and marked.is_id(marked.items[tag.at]):
                tag.kind, tag.value = "place", marked.names.by_id[str(marked.items[tag.at].whole)][:1]


def not_one_egg(marked: Marked) -> None:
    """ "Not an egg", "not one single egg": none."""
    for n, tag in enumerate(marked.tags):
        finds = (
            n
            and tag.word in ("find", "found", "get", "see", "spot", "have", "got", "collect", "had")
            and marked.tags[n - 1].says("guard", "not")
        )
        if tag.word not in ("not", "nary") and not finds:
            continue
        m = n + 1
        while m < len(marked.tags) and marked.tags[m].word in (
            "a",
            "an",
            "one",
            "1",
            "single",
            "solitary",
            "any",
            "even",
        ):
            m += 1
        if m > n + 1 and m < len(marked.tags) and marked.tags[m].says("noun", "eggs"):
            tag.word = "no"
            for idle in marked.tags[n - 1 if finds else n + 1 : m]:
                if idle is tag:
                    continue
                idle.senses = {}
                idle.kind, idle.word, idle.note = "word", "", "idle"


def ones_and_layers(marked: Marked) -> None:
    """ "One bent one": one of them; "stripped off 3 females": who laid, and no eggs."""
    tags = marked.tags
    for one, how, other in zip(tags, tags[1:], tags[2:], strict=False):
        again = other.kind == "num" and other.note == "spelled" and other.word == "one"
        if again and one.kind == "num" and how.kind == "word" and how.word.isalpha():
            _let_be(other)
    for n, tag in enumerate(tags):
        if tag.word not in ("stripped", "stripped off", "rolled off"):
            continue
        num, who = ([t for t in tags[n + 1 : n + 4] if t.word not in ("off", "from", "out of")] + [tag, tag])[:2]
        if num.kind == "num" and who.says("noun", "female", "male"):
            _let_be(num)


def _let_be(tag: Tag) -> None:
    tag.kind, tag.note = "word", "idle"
