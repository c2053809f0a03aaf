"""Places: "tank 3", "tubs A to D", a tank called by its size, a tank the room lacks."""

from __future__ import annotations

from bot.language.tags.counts import is_counted
from bot.language.tags.idents import ident_at, more_places
from bot.language.tags.letters import bare_place_at
from bot.language.tags.plain_words import INTO
from bot.language.tags.stock import batch_at
from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.figures import Item

_A_SOME = frozenset(
    ["nice", "good", "quick", "big", "proper", "bit", "splash", "drop", "wipe", "rinse", "scrub", "full", "half",
     "fresh", "clean", "little", "couple", "few", "third", "quarter", "pinch", "dash", "spoonful", "spoon", "cup",
     "leaf", "teaspoon", "tablespoon", "top", "small", "large", "partial", "thorough", "deep"]
)  # fmt: skip


def place_at(marked: Marked, at: int) -> Tag | None:
    word, nxt = marked.words[at], _item(marked, at + 1)
    numbered = nxt is not None and nxt.glued and nxt.num is not None
    if numbered and len(word) <= 2 and f"{word}{marked.w(at + 1)}" in marked.names.by_id:
        return bare_place_at(marked, at)
    heads = _heads_at(marked, at)
    if heads is None:
        return _run_together(marked, at) or bare_place_at(marked, at)
    fits: dict[str, list[str]] = {}
    for head in heads:
        for ident, name in marked.names.heads.get(head, {}).items():
            fits.setdefault(ident, []).append(name)
    ids = {ident: names[0] for ident, names in fits.items()}
    cut = _past_the_label(marked, at + 1, ids)
    got = ident_at(marked, cut, ids, strong=len(word) > 1)
    if got is not None and got[1] == "a" and not marked.items[cut].raw.isupper() and marked.w(cut + 1) in _A_SOME:
        got = None  # "gave the tub a nice clean fill"
    if got is None:
        return _head_without(marked, at, cut, word, heads)
    size, ident = got
    found = [ident]
    plural = word.endswith("s") and word[:-1] in marked.names.head_words
    end = more_places(marked, cut + size, ids, found, plural, plural or (marked.items[cut].glued and len(word) == 1))
    if marked.w(end) == "'" and marked.w(end + 1) == "s" and marked.items[end].glued and marked.items[end + 1].glued:
        end += 2  # "tank 9's at 24"
    if len(fits[ident]) > 1 and len(found) == 1:
        return Tag("place", (), at, end, word, note="|".join(fits[ident]))
    places = tuple(dict.fromkeys(ids[i] for i in found))
    return Tag("place", places, at, end, word, note="many" if len(found) > 1 else "")


def _item(marked: Marked, at: int) -> Item | None:
    return marked.items[at] if at < len(marked.items) else None


def _heads_at(marked: Marked, at: int) -> tuple[str, ...] | None:
    """What a word may be short for before a number or letter: "tank", "t", "number", "#"; None for no such word."""
    names, item, nxt = marked.names, marked.items[at], _item(marked, at + 1)
    before_number = nxt is not None and nxt.num is not None
    heads: tuple[str, ...] | None = names.head_words.get(item.word)
    if heads and len(item.word) == 1:
        capital = item.raw.isupper() and (nxt is None or before_number)
        beside = before_number and ((nxt is not None and nxt.glued) or marked.w(at - 1) in INTO)
        heads = heads if capital or beside else None
    if heads is not None:
        return heads
    if item.word == "number":  # "the mop in number 3"
        led = marked.w(at - 1) in ("in", "from", "into", "to", "on", "of") and marked.w(at + 1).isdigit()
        culture = any(t.kind == "culture" or t.says("noun", "culture") for t in marked.tags)
        return tuple(names.heads) if led and not culture else None
    return tuple(names.heads) if item.word == "#" and before_number else None


def _run_together(marked: Marked, at: int) -> Tag | None:
    """ "tubb", "tubby", as dictation writes tub B."""
    names, word = marked.names, marked.words[at]
    if len(word) <= 3 or marked.items[at].num is not None or word in names.head_words:
        return None
    for head, its in names.heads.items():
        if not head or not word.startswith(head):
            continue
        rest = word[len(head) :]
        like = [
            i for i in its if rest in (i, i + "y", i + "by") or (rest in ("by", "bie", "bee", "ee") and i in ("b", "e"))
        ]
        if like and (rest == "by" or not is_everyday(word)):
            options = tuple(its[i] for i in sorted(like))
            one = len(options) == 1
            return Tag("place", options if one else (), at, at + 1, word, note="" if one else "|".join(options))
    return None


_ARTICLES = ("the", "a", "number", "no", "#")


def _past_the_label(marked: Marked, at: int, ids: dict[str, str]) -> int:
    """Where the number or letter stands after "tank": behind "marked", "with the letter", "no."."""
    named = _item(marked, at + 1)
    if marked.w(at) in ("marked", "labelled", "labeled", "numbered") and named is not None and named.num is not None:
        at += 1
    if marked.w(at) in ("with", "marked", "labelled", "labeled") and marked.w(at + 1) in _ARTICLES:
        skip = at + 1
        while marked.w(skip) in (*_ARTICLES, "letter"):
            skip += 1
        if ident_at(marked, skip, ids, strong=False):
            at = skip
    if marked.w(at) in ("number", "no", "#", "num", "nr") and at + 1 < len(marked.items):
        at += 2 if marked.w(at + 1) == "." else 1
    return at


def _head_without(marked: Marked, at: int, cut: int, word: str, heads: tuple[str, ...]) -> Tag | None:
    """A word for tank with a number or letter the room lacks, or with none."""
    nxt = marked.items[cut] if cut < len(marked.items) else None
    if nxt is not None and nxt.whole is not None and not word.endswith("s") and (nxt.glued or len(word) > 1):
        after = marked.w(cut + 1)
        if (
            after not in ("gallon", "gallons", "gal", "l", "litre", "liter", "litres", "liters", "drops", "drop")
            and nxt.whole < 1000
        ):
            return Tag("place", (), at, cut + 1, word, note=f"?{_unknown(heads, word)} {nxt.whole}")
    if (
        nxt is not None
        and nxt.raw != "I"
        and len(nxt.raw) == 1
        and nxt.raw.isalpha()
        and (nxt.raw.isupper() or (len(word) > 1 and nxt.raw.lower() not in "aim"))
        and len(word) > 1
    ):
        return Tag("place", (), at, cut + 1, word, note=f"?{_unknown(heads, word)} {nxt.raw.upper()}")
    return Tag("lex", word, at, at + 1, word, {"noun": frozenset({"tank"})}) if len(word) > 2 else None


def _before_sizes(marked: Marked, at: int) -> bool:
    """Whether "20s" is said of tanks: "each of the 20s", "all my 10s"."""
    return marked.w(at - 1) in ("the", "my", "our", "both", "all")


_SIZE_WORDS = frozenset(["breeder", "gallon", "gal", "long", "tall", "litre", "liter", "l", "high", "g", "gallons"])
_SHAPES = frozenset(["breeder", "long", "tall", "high"])
_NO_TANK = frozenset(  # what follows "the 2": its kind, its rank, or that it was no tank
    ["st", "nd", "rd", "th", "s", "biggest", "smallest", "best", "largest", "oldest", "new", "remaining", "others",
     "other", "or", "odd", "that", "little", "small", "good", "bad", "i", "we", "from", "into"]
)  # fmt: skip


def size_at(marked: Marked, at: int, article: bool) -> Tag | None:
    """A tank called by its size: "the 29", "30 breeder", "the 5.5 gallon"."""
    if at >= len(marked.items) or marked.items[at].num is None:
        return None
    size = float(marked.items[at].num or 0)
    after = marked.w(at + 1)
    word = f"{marked.items[at].raw} {after}"
    cut = at + 2 if after == "-" else at + 1
    if after == "s" and marked.items[cut].glued and size in marked.names.sizes and _before_sizes(marked, at):
        return Tag("place", marked.names.sizes[size], at, at + 2, word, note="many")  # "all the 20s"
    named = marked.w(cut) in (_SIZE_WORDS if article else _SHAPES)
    places = marked.names.sizes.get(size, ())
    if not places or (not named and not article):
        return None
    if named:
        end = cut + 2 if marked.w(cut + 1) in ("tank", "breeder", "aquarium", "tub") else cut + 1
        return Tag("size", places, at, end, word)
    if is_counted(marked, at) or after in _NO_TANK or batch_at(marked, at + 1):
        return None
    whole = marked.items[at].whole
    called = marked.names.by_id.get(str(whole), ()) if whole is not None else ()
    return Tag("size", places, at, at + 1, word, note="|".join(called))


def _unknown(heads: tuple[str, ...], word: str) -> str:
    for head in heads:
        if head and (word.rstrip("s") == head or len(word) <= 3):
            return head
    return heads[0] if heads and heads[0] else word
