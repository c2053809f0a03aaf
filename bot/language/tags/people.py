"""Names of people, known to the room or guessed from how they are written."""

from __future__ import annotations

from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.vocabulary import LEXICON, phrase_at
from bot.language.text.words import STOPS

_CRIES = frozenset(
    [
        *("ugh", "argh", "eek", "yay", "phew", "gah", "eww", "ouch", "blimey", "crikey", "hurrah", "hooray", "woohoo"),
        *("yikes", "yuck", "gosh", "crumbs", "drat", "dang", "sigh", "boo", "whoa", "wahey", "yippee"),
    ]
)
_NO_NAMES = frozenset(["sex", "gender", "sexing"])
_SHORT = frozenset(["al", "bo", "cy", "ed", "jo", "li", "lu", "mo", "oz", "ty", "vi"])  # names of two letters


def person_at(marked: Marked, at: int) -> Tag | None:
    for size in (2, 1):
        words = tuple(marked.words[at : at + size])
        if len(words) == size and words in marked.names.person_words:
            return Tag("person", marked.names.person_words[words], at, at + size, " ".join(words))
    word = marked.words[at]
    if word in ("mr", "mrs", "ms", "miss", "dr") and at + 1 < len(marked.items):
        cut = at + (2 if marked.w(at + 1) == "." else 1)
        if marked.w(cut).isalpha():
            title = word.capitalize()
            return Tag("person", f"{title} {marked.w(cut).capitalize()}", at, cut + 1, word)
    item = marked.items[at]
    if word.endswith("'s") and item.num is None:
        stem = (word[:-2],)
        if stem in marked.names.person_words:
            return Tag("person", marked.names.person_words[stem], at, at + 1, word)
        if (
            item.raw[0].isupper()
            and len(word) > 4
            and not is_everyday(word[:-2])
            and not is_everyday(word)
            and word[:-2] not in marked.names.known
            and not LEXICON.get(stem)
        ):
            return Tag("person", item.raw[:-2], at, at + 1, word, note="guess")
        return None
    short = word in _SHORT and item.raw[0].isupper() and marked.w(at - 1) in ("for", "to", "from")
    if item.num is not None or (len(word) < 3 and not short) or not word.isalpha():
        return None
    if word in marked.names.known or word in _CRIES or word in _NO_NAMES:
        return None
    meant = phrase_at(marked.words, marked.glued, at)[0] or marked.names.line_like((word,))
    if (is_everyday(word) and not short) or meant:
        return None
    cap = item.raw[0].isupper() and not item.raw.isupper()
    before = marked.w(at - 1)
    if (
        not cap
        and before in ("sold", "gave", "hold", "promised", "promise")
        and len(word) > 3
        and marked.items[at + 1 : at + 2]
        and (marked.items[at + 1].num is not None or marked.w(at + 1) in ("a", "the", "two", "his", "her"))
    ):
        return Tag("person", word.capitalize(), at, at + 1, word, note="lower")
    if (
        not cap
        and marked.w(at + 1)
        in (
            "wants",
            "want",
            "took",
            "cancelled",
            "canceled",
            "bought",
            "paid",
            "collecting",
            "picked",
            "called",
            "texted",
            "says",
            "backed",
            "has",
            "is",
            "gets",
            "gave",
            "had",
            "came",
            "comes",
            "coming",
            "popped",
            "rang",
            "phoned",
            "wanted",
            "ordered",
            "picks",
            "owes",
            "cxl",
            "cxld",
            "cancels",
            "cancel",
            "backs",
            "ordered",
            "reserved",
        )
        and (at == 0 or marked.words[at - 1] in STOPS or before in (",", "and"))
        and (len(word) > 3 or marked.w(at + 1).startswith(("c", "back", "no")))
    ):
        return Tag("person", word.capitalize(), at, at + 1, word, note="lower")
    if (
        not cap
        and at == 0
        and marked.w(1)
        and any(s == "cue" and v == "release" for s, v in phrase_at(marked.words, marked.glued, 1)[1])
    ):
        return Tag("person", word.capitalize(), at, at + 1, word, note="lower")  # "tom no longer wants gul"
    if cap or before in ("to", "for", "off", "from"):
        if not cap and (
            marked.w(at + 1).isalpha()
            and phrase_at(marked.words, marked.glued, at + 1)[0] == 0
            and not is_everyday(marked.w(at + 1))
        ):
            return None
        end = at + 1
        name = item.raw if cap else word.capitalize()
        nxt = marked.items[end] if end < len(marked.items) else None
        if (
            cap
            and nxt is not None
            and nxt.raw.isalpha()
            and nxt.raw[0].isupper()
            and (
                (len(nxt.raw) == 1 and nxt.raw != "I")
                or (
                    len(nxt.raw) > 1
                    and not is_everyday(nxt.word)
                    and not phrase_at(marked.words, marked.glued, end)[0]
                    and nxt.word not in marked.names.known
                )
            )
        ):
            name += f" {nxt.raw}"
            end += 1
        return Tag("person", name, at, end, word, note="guess" if cap else "lower")
    return None
