"""Words a keeper teaches: “call tank 14 the big one”, “the nursery is tub C”, “forget the big one”."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace

from bot import sentences as say
from bot.language import Names, Reader
from bot.language.text.everyday import is_everyday
from bot.language.text.names import spoken
from bot.language.text.vocabulary import DOMAIN
from bot.orders.renaming import bare_word, meant
from bot.routine.taken import Scene, Taken
from bot.talk.questions import Asked
from shared.events import WordTaught

# A word for a place has one of these in it, or it is asked first: “the smell is tank 3” tells of a smell.
_LIKE_A_PLACE = frozenset(
    ("tank", "tub", "jar", "rack", "shelf", "nursery", "big", "small", "little", "long", "tall", "old", "new", "left",
     "right", "top", "bottom", "upper", "lower", "corner", "window", "growout", "grow", "hospital", "kitchen", "hall",
     "show", "display", "front", "back")
)  # fmt: skip

_CALL = re.compile(r"^(?:call|name) (?P<rest>.+)$")
_MEANS = re.compile(r"^(?P<word>.+?) (?:means|stands for|is short for|is my word for|is what i call) (?P<means>.+)$")
_IS = re.compile(r"^(?P<word>(?:the|my|our) .+?) is (?P<means>(?:tank|tub|jar|bowl|box) \S+)$")
_FORGET = re.compile(r"^forget (?:about )?(?:the )?(?:word |name )?(?P<word>.+)$")


def word_order(text: str, scene: Scene) -> Taken | None:
    """A word taught or forgotten; None where it would be told of something else."""
    if hit := _FORGET.match(text):
        word = bare_word(hit["word"])
        means = scene.standing.words.get(word)
        return Taken((WordTaught(word=word, means=""),), (f"“{word}” no longer means {means}.",)) if means else None
    if hit := _CALL.match(text):
        words = hit["rest"].split(" ")
        for at in range(1, len(words)):
            said, word = " ".join(words[:at]), " ".join(words[at:])
            if (means := meant(said, scene)) and (re.match(r"^(?:the|my|our) \w", word) or _new_word(word)):
                return _teach(word, means, scene)
        return None
    if hit := _MEANS.match(text):
        means = meant(hit["means"], scene)
        return _teach(hit["word"], means, scene) if means and len(hit["word"].split()) <= 4 else None
    if (hit := _IS.match(text)) and (means := meant(hit["means"], scene)):
        word = bare_word(hit["word"])
        parts = spoken(word)
        if (
            len(parts) > 4
            or not _LIKE_A_PLACE.intersection(parts)
            or DOMAIN.intersection(parts) - _LIKE_A_PLACE - {"out", "one"}
        ):
            return None
        return _teach(word, means, scene)
    return None


def _new_word(word: str) -> bool:
    """Whether a single word has no other meaning in a note."""
    return bool(re.fullmatch(r"[^\W\d_]{2,}", word)) and word not in DOMAIN and not is_everyday(word)


def _teach(word: str, means: str, scene: Scene) -> Taken | None:
    word, names = bare_word(word), scene.words.names
    parts = spoken(word)
    if not parts or all(p.isdigit() for p in parts):
        return None
    event = WordTaught(word=word, means=means)
    standing = scene.standing
    own = {n.casefold(): n for n in (*standing.places, *standing.lines, *standing.batches, *standing.cultures)}
    own |= {p.casefold(): p for p in names.people}
    if word in own or names.batch_ids.get(word) or scene.words.weekdays(word) or scene.words.day(word):
        return Taken(answer=f"“{word}” already means something here; choose another word. Nothing was changed.")
    if len(parts) == 1 and (parts[0] in DOMAIN or is_everyday(parts[0])) and word not in standing.words:
        return Taken(answer=f"“{word}” is a word notes are read by; choose another, or two words. Nothing was changed.")
    meant = scene.words.where(word)
    already = standing.words.get(word) or (meant and (say.places(meant.places) or meant.batch or meant.line))
    if already == means:
        return Taken(answer=f"“{word}” already means {means}.")
    if not _readable(word, means, names, scene.now):
        return Taken(answer=f"Notes with “{word}” in them cannot be told apart; choose another. Nothing was changed.")
    if already:
        options = (("yes", (event.outside(),)), ("no", ()))
        return Taken(asked=Asked(f"“{word}” already means {already}. Shall it mean {means}?", scene.now, options))
    return Taken((event,), (f"“{word}” means {means} from now on.",))


def _readable(word: str, means: str, names: Names, now: dt.datetime) -> bool:
    """Whether the reader then finds the place or line by that word: a number in it, say, is read as a number."""
    reader = Reader(replace(names, words={**names.words, word: means}))
    spans = reader.read(f"6 dead {word}", now).spans
    return any(s.claimed_by in ("place", "line", "batch", "culture") and spoken(s.words) == spoken(word) for s in spans)
