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
# Everyday words that are first names, too: where they have a capital and something goes to them.
_NAMES_TOO = frozenset(
    ["april", "art", "august", "bee", "bell", "bill", "bob", "dawn", "dot", "drew", "faith", "fin", "grace", "guy",
     "hope", "joy", "june", "kit", "lily", "mark", "may", "miles", "moss", "pat", "pearl", "peg", "penny", "per",
     "peter", "rich", "rose", "ruby", "skip", "sky", "star", "will", "wren"]
)  # fmt: skip
_MONTHS = frozenset(["april", "august", "june", "may"])


def person_at(marked: Marked, at: int) -> Tag | None:
    """Somebody: known by name, with a title, by a capital, or by what only people do."""
    if (known := _known_person(marked, at)) is not None:
        return known
    item, word = marked.items[at], marked.words[at]
    if word.endswith("'s") and item.num is None:
        return _whose(marked, at)
    if not _may_be_a_name(marked, at):
        return None
    if item.raw[0].isupper() and not item.raw.isupper() and not _initial(marked, at + 1):
        return _capital_name(marked, at)
    if (letter := _initial(marked, at + 1)) and (item.raw[0].isupper() or _opens(marked, at)):
        name = item.raw if item.raw[0].isupper() else word.capitalize()
        return Tag("person", f"{name} {letter}", at, at + 2, word, note="guess")
    if _does_as_people(marked, at):
        return Tag("person", word.capitalize(), at, at + 1, word, note="lower")
    if marked.w(at - 1) not in ("to", "for", "off", "from"):
        return None
    after = marked.w(at + 1)
    strange = after.isalpha() and not phrase_at(marked.words, marked.glued, at + 1)[0] and not is_everyday(after)
    return None if strange else Tag("person", word.capitalize(), at, at + 1, word, note="lower")


def _known_person(marked: Marked, at: int) -> Tag | None:
    """Somebody the room knows by one or two words, or anybody with a title."""
    for size in (2, 1):
        words = tuple(marked.words[at : at + size])
        if len(words) == size and words in marked.names.person_words:
            return Tag("person", marked.names.person_words[words], at, at + size, " ".join(words))
    word = marked.words[at]
    if word in ("mr", "mrs", "ms", "miss", "dr") and at + 1 < len(marked.items):
        cut = at + (2 if marked.w(at + 1) == "." else 1)
        if marked.w(cut).isalpha():
            return Tag("person", f"{word.capitalize()} {marked.w(cut).capitalize()}", at, cut + 1, word)
        if (name := marked.w(cut)).endswith("'s") and name[:-2].isalpha():
            return Tag("person", f"{word.capitalize()} {name[:-2].capitalize()}", at, cut + 1, f"{word}'s")
    return None


def _whose(marked: Marked, at: int) -> Tag | None:
    """ "Lena's", or a strange word with a capital: "Bexley's"."""
    raw, word = marked.items[at].raw, marked.words[at]
    stem = word[:-2]
    if (stem,) in marked.names.person_words:
        return Tag("person", marked.names.person_words[(stem,)], at, at + 1, word)
    everyday = is_everyday(stem) or is_everyday(word)
    if not raw[0].isupper() or len(word) <= 4 or everyday or stem in marked.names.known or LEXICON.get((stem,)):
        return None
    return Tag("person", raw[:-2], at, at + 1, word, note="guess")


def _may_be_a_name(marked: Marked, at: int) -> bool:
    """Whether a word is none of the room's, the trade's or everybody's."""
    item, word = marked.items[at], marked.words[at]
    as_named = item.raw[0].isupper() and not item.raw.isupper() and _goes_to(marked, at)
    named = as_named and word in _SHORT | _NAMES_TOO
    if item.num is not None or (len(word) < 3 and not named) or not word.isalpha():
        return False
    if word in marked.names.known or word in _CRIES or word in _NO_NAMES or (is_everyday(word) and not named):
        return False
    return not (phrase_at(marked.words, marked.glued, at)[0] or marked.names.line_like((word,)))


def _goes_to(marked: Marked, at: int) -> bool:
    """Whether what is before a word says that something goes to it or comes from it; "for June" is a month."""
    before, word = marked.w(at - 1), marked.words[at]
    if word not in _MONTHS:
        return before in ("for", "to", "from", "sold", "gave", "promised")
    after = marked.items[at + 1] if at + 1 < len(marked.items) else None
    dated = "from" in marked.words or (after is not None and (after.num is not None or after.word in ("the", "and")))
    return not dated and before in ("to", "sold", "gave") and bool(_DEALT & set(marked.words))


_DEALT = frozenset(["sold", "gave", "sale", "went", "promised", "reserved", "$", "£", "€"])


_ONLY_PEOPLE = frozenset(
    ["wants", "want", "took", "cancelled", "canceled", "bought", "paid", "collecting", "picked", "called", "texted",
     "says", "backed", "has", "is", "gets", "gave", "had", "came", "comes", "coming", "popped", "rang", "phoned",
     "wanted", "ordered", "picks", "owes", "cxl", "cxld", "cancels", "cancel", "backs", "reserved"]
)  # fmt: skip


_HEARD = {"be": "B", "bee": "B", "cee": "C", "dee": "D", "gee": "G", "jay": "J", "kay": "K", "tee": "T"}


def _initial(marked: Marked, at: int) -> str:
    """The letter of a name before what only people do, also as a phone heard it: "tom b took", "Tom be came by"."""
    word = marked.w(at)
    letter = _HEARD.get(word, word.upper() if len(word) == 1 and word.isalpha() and word not in ("i", "a") else "")
    return letter if letter and marked.w(at + 1) in _ONLY_PEOPLE else ""


def _opens(marked: Marked, at: int) -> bool:
    return at == 0 or marked.words[at - 1] in STOPS or marked.w(at - 1) in (",", "and", "so", "then")


def _does_as_people(marked: Marked, at: int) -> bool:
    """Whether a word written small is sold to or does what only people do: "sold okafor 4", "tom wants 2 pair"."""
    word, before, after = marked.words[at], marked.w(at - 1), marked.w(at + 1)
    follows = marked.items[at + 1] if at + 1 < len(marked.items) else None
    to_whom = before in ("sold", "gave", "hold", "promised", "promise") and len(word) > 3 and follows is not None
    if to_whom and follows and (follows.num is not None or after in ("a", "the", "two", "his", "her")):
        return True
    if after in _ONLY_PEOPLE and _opens(marked, at) and (len(word) > 3 or after.startswith(("c", "back", "no"))):
        return True
    senses = phrase_at(marked.words, marked.glued, 1)[1] if at == 0 and after else ()
    return any(sort == "cue" and value == "release" for sort, value in senses)  # "tom no longer wants gul"


def _capital_name(marked: Marked, at: int) -> Tag:
    """A name with a capital, and the one after it: "Tom", "Tom B", "Petra Lind"."""
    item, end = marked.items[at], at + 1
    name, nxt = item.raw, marked.items[end] if end < len(marked.items) else None
    if nxt is not None and nxt.raw.isalpha() and nxt.raw[0].isupper():
        of_the_trade = is_everyday(nxt.word) or phrase_at(marked.words, marked.glued, end)[0]
        letter = len(nxt.raw) == 1 and nxt.raw != "I"
        if letter or (len(nxt.raw) > 1 and not of_the_trade and nxt.word not in marked.names.known):
            name, end = f"{name} {nxt.raw}", end + 1
    return Tag("person", name, at, end, marked.words[at], note="guess")
