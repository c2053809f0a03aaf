"""What a dictating phone made of numbers and of the trade's words."""

from __future__ import annotations

from bot.language.tags.plain_words import COUNTED, STOPWORDS
from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.figures import SOUNDS
from bot.language.text.misspelt import misheard
from bot.language.text.vocabulary import LEXICON
from bot.language.times.days import MONTHS, WEEKDAYS, Clock


def misheard_at(marked: Marked, at: int) -> Tag | None:
    """A trade word cut in two or three by a phone that did not know it."""
    for size in (3, 2):
        words = marked.words[at : at + size]
        if (
            len(words) < size
            or not all(w.isalpha() for w in words)
            or words[0] in STOPWORDS
            or all(is_everyday(w) for w in words)
            or any(w in WEEKDAYS or w in MONTHS or (len(w) > 4 and (w,) in LEXICON) for w in words)
            or words[-1] in ("egg", "eggs", "fry", "and", "is", "hold")  # "got tin eggs", "Gus is coming"
            or (marked.items[at + size - 1].raw.istitle() and not marked.items[at].raw.istitle())  # "gul Lena"
        ):
            continue
        word = misheard("".join(words))
        if word:
            senses: dict[str, set[str]] = {}
            for sort, value in LEXICON[(word,)]:
                senses.setdefault(sort, set()).add(value)
            return Tag("lex", word, at, at + size, word, {k: frozenset(v) for k, v in senses.items()})
    return None


def numbers_by_sound(marked: Marked) -> None:
    """Numbers a phone wrote as other words: "lost too lampeyes", "there are for dead", "tank two had ate"."""
    for n, tag in enumerate(marked.tags):
        if tag.word not in ("to", "too", "for", "fore", "ate", "won", "tree", "sicks") or tag.kind not in (
            "word",
            "lex",
        ):
            continue
        if tag.at + 1 != tag.upto or marked.items[tag.at].raw[0].isupper():
            continue
        before = marked.tags[n - 1] if n else Tag("stop", "", 0, 0)
        after, then = (marked.tags[m] if m < len(marked.tags) else None for m in (n + 1, n + 2))
        if before.kind == "stop":  # "to dead in tank ate"
            lost = after is not None and after.says("cue", "dead") and after.word not in ("cull", "put down")
            if lost and then is not None and then.word in ("in", "from"):
                tag.kind, tag.value, tag.senses, tag.note = "num", float(SOUNDS[tag.word]), {}, "spelled"
            continue
        opens = before.word in (
            "had",
            "has",
            "got",
            "are",
            "were",
            "only",
            "just",
            "found",
            "another",
            "gave",
            "wait",
            "no wait",
        ) or before.says("cue", "lost", "dead", "pull", "sold", "bad")
        if not opens:
            continue
        counted = (
            after is not None
            and (after.says("noun", *COUNTED) or after.kind == "line" or after.says("cue", "dead", "bad", "eyed"))
            and not after.says("unit")
            and after.word not in ("cull", "put down", "lose", "euthanised", "euthanized")  # "had to cull"
            and not (tag.word == "to" and before.word in ("had", "got") and after.says("cue", "dead"))
        )
        ends = (
            tag.word in ("ate", "won", "too", "tree", "sicks")
            and before.word in ("had", "got")
            and (after is None or after.kind in ("stop", "punct") or after.word == "of")
        )
        if counted or ends or (tag.word in ("won", "tree", "sicks") and after is not None and after.word == "of"):
            tag.kind, tag.value, tag.senses, tag.note = "num", float(SOUNDS[tag.word]), {}, "spelled"


def numbers_misheard(marked: Marked) -> None:
    """ "lost too lampeyes": a phone's "too" where only a number can stand."""
    end = Tag("stop", "", len(marked.items), len(marked.items))
    for before, tag, after in zip(marked.tags, marked.tags[1:], [*marked.tags[2:], end], strict=False):
        if (
            tag.kind == "word"
            and tag.word in ("too", "to")
            and before.says("cue", "lost", "dead", "pull", "hatch", "sold")
            and (after.kind == "line" or after.says("noun", "eggs", "juveniles", "male", "female"))
        ):
            tag.kind, tag.value, tag.note = "num", 2.0, "spelled"
        if tag.word in ("for", "fore") and (
            before.says("cue", "hatch", "lost", "laid") and (after.kind == "line" or after.says("noun", "eggs", "fry"))
        ):
            tag.kind, tag.value, tag.note = "num", 4.0, "spelled"
        if tag.word == "ate" and before.word == "at":
            tag.kind, tag.value, tag.senses = "clock", Clock(8), {}
        if (
            tag.kind == "word"
            and tag.word in ("for", "fore", "to", "too")
            and before.word in ("in", "from", "into", "on")
            and (after.word in ("and", ",", "&") or after.kind in ("stop", "pct"))
        ):
            tag.kind, tag.value, tag.note = "num", float(SOUNDS[tag.word]), "spelled"  # "the water in for and five"
        heard = {"ate": 8.0, "won": 1.0, "fife": 5.0}.get(tag.word)
        if (
            heard
            and before.word in ("in", "from")
            and (after.kind in ("stop", "punct") or after.word in ("and", "is", "was", "had"))
        ):
            tag.kind, tag.value, tag.note, tag.senses = "num", heard, "spelled", {}
