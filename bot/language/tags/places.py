"""Places: "tank 3", "tubs A to D", a tank called by its size, a tank the room lacks."""

from __future__ import annotations

from bot.language.tags.counts import is_counted
from bot.language.tags.idents import ident_at, more_places
from bot.language.tags.letters import bare_place_at
from bot.language.tags.plain_words import INTO
from bot.language.tags.stock import batch_at
from bot.language.tags.tag import Marked, Tag
from bot.language.text.everyday import is_everyday

_A_SOME = frozenset(
    ["nice", "good", "quick", "big", "proper", "bit", "splash", "drop", "wipe", "rinse", "scrub", "full", "half",
     "fresh", "clean", "little", "couple", "few", "third", "quarter", "pinch", "dash", "spoonful", "spoon", "cup",
     "leaf", "teaspoon", "tablespoon", "top", "small", "large", "partial", "thorough", "deep"]
)  # fmt: skip


def place_at(marked: Marked, at: int) -> Tag | None:
    names = marked.names
    item = marked.items[at]
    word = item.word
    head_at = at
    if (
        at + 1 < len(marked.items)
        and marked.items[at + 1].num is not None
        and len(word) <= 2
        and marked.items[at + 1].glued
        and f"{word}{marked.w(at + 1)}" in names.by_id
    ):
        return bare_place_at(marked, at)
    heads = names.head_words.get(word)
    if (
        heads
        and len(word) == 1
        and not (at + 1 < len(marked.items) and marked.items[at + 1].glued and marked.items[at + 1].num is not None)
        and not item.raw.isupper()
    ):
        heads = (
            None
            if not (at + 1 < len(marked.items) and marked.items[at + 1].num is not None and marked.w(at - 1) in INTO)
            else heads
        )
    if heads and len(word) == 1 and at + 1 < len(marked.items) and marked.items[at + 1].num is None:
        heads = None
    if (
        heads is None
        and word == "number"
        and marked.w(at - 1) in ("in", "from", "into", "to", "on", "of")
        and marked.w(at + 1).isdigit()
        and not any(t.kind == "culture" or t.says("noun", "culture") for t in marked.tags)
    ):
        heads = tuple(names.heads)  # "the mop in number 3"
    if heads is None and word == "#" and at + 1 < len(marked.items) and marked.items[at + 1].num is not None:
        heads = tuple(names.heads)
    if heads is None and len(word) > 3 and item.num is None:
        for head in names.heads:  # tubb, tubby
            if head and word.startswith(head) and len(word) > len(head) and word not in names.head_words:
                rest = word[len(head) :]
                like = [
                    i
                    for i in names.heads[head]
                    if rest in (i, i + "y", i + "by") or (rest in ("by", "bie", "bee", "ee") and i in ("b", "e"))
                ]
                if (like and not is_everyday(word)) or rest == "by":
                    options = tuple(names.heads[head][i] for i in sorted(like))
                    if len(options) == 1:
                        return Tag("place", options, at, at + 1, word)
                    if options:
                        return Tag("place", (), at, at + 1, word, note="|".join(options))
    if heads is None:
        return bare_place_at(marked, at)
    cut = head_at + 1
    if (
        marked.w(cut) in ("marked", "labelled", "labeled", "numbered")
        and cut + 1 < len(marked.items)
        and marked.items[cut + 1].num is not None
    ):
        cut += 1
    if marked.w(cut) in ("with", "marked", "labelled", "labeled") and marked.w(cut + 1) in (
        "the",
        "a",
        "number",
        "no",
        "#",
    ):
        skip = cut + 1
        while marked.w(skip) in ("the", "a", "number", "no", "#", "letter"):
            skip += 1
        if ident_at(marked, skip, {i: n for h in heads for i, n in names.heads.get(h, {}).items()}, strong=False):
            cut = skip
    if marked.w(cut) in ("number", "no", "#", "num", "nr") and cut + 1 < len(marked.items):
        cut += 2 if marked.w(cut + 1) == "." else 1
    ids: dict[str, str] = {}
    clash: dict[str, list[str]] = {}
    for head in heads:
        for ident, name in names.heads.get(head, {}).items():
            ids.setdefault(ident, name)
            clash.setdefault(ident, []).append(name)
    plural = word.endswith("s") and word[:-1] in names.head_words
    got = ident_at(marked, cut, ids, strong=len(word) > 1)
    if got is not None and got[1] == "a" and not marked.items[cut].raw.isupper() and marked.w(cut + 1) in _A_SOME:
        got = None  # "gave the tub a nice clean fill"
    if got is None:
        return _head_without(marked, at, cut, word, heads)
    size, ident = got
    found = [ident]
    end = cut + size
    end = more_places(marked, end, ids, found, plural, plural or (marked.items[cut].glued and len(word) == 1))
    if marked.w(end) == "'" and marked.w(end + 1) == "s" and marked.items[end].glued and marked.items[end + 1].glued:
        end += 2  # "tank 9's at 24"
    fits = clash[ident]
    if len(fits) > 1 and len(found) == 1:
        return Tag("place", (), at, end, word, note="|".join(fits))
    return Tag(
        "place", tuple(dict.fromkeys(ids[i] for i in found)), at, end, word, note="many" if len(found) > 1 else ""
    )


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


def size_at(marked: Marked, at: int, article: bool) -> Tag | None:
    """A tank called by its size: "the 29", "30 breeder", "the 5.5 gallon"."""
    if at >= len(marked.items) or marked.items[at].num is None:
        return None
    size = float(marked.items[at].num or 0)
    after = marked.w(at + 1)
    word = f"{marked.items[at].raw} {after}"
    cut = at + 1
    if marked.w(cut) == "-":
        cut += 1
    named = marked.w(cut) in (
        "breeder",
        "gallon",
        "gal",
        "long",
        "tall",
        "litre",
        "liter",
        "l",
        "high",
        "g",
        "gallons",
    ) and (article or marked.w(cut) in ("breeder", "long", "tall", "high"))
    if after == "s" and marked.items[cut].glued and size in marked.names.sizes and _before_sizes(marked, at):
        return Tag("place", marked.names.sizes[size], at, at + 2, word, note="many")  # "all the 20s"
    if not named and not article:
        return None
    if not named and (
        is_counted(marked, at)
        or after
        in (
            "st",
            "nd",
            "rd",
            "th",
            "s",
            "biggest",
            "smallest",
            "best",
            "largest",
            "oldest",
            "new",
            "remaining",
            "others",
            "other",
            "or",
            "odd",
            "that",
            "little",
            "small",
            "good",
            "bad",
            "i",
            "we",
            "from",
            "into",
        )
        or batch_at(marked, at + 1)
    ):
        return None
    places = marked.names.sizes.get(size, ())
    if not places and named and marked.w(cut) not in ("breeder",):
        return None
    if not places:
        return None
    whole = marked.items[at].whole
    ident = marked.names.by_id.get(str(whole), ()) if whole is not None and not named else ()
    end = cut + 1 if named else at + 1
    if named and marked.w(end) in ("tank", "breeder", "aquarium", "tub"):
        end += 1
    return Tag("size", places, at, end, word, note="|".join(ident))


def _unknown(heads: tuple[str, ...], word: str) -> str:
    for head in heads:
        if head and (word.rstrip("s") == head or len(word) <= 3):
            return head
    return heads[0] if heads and heads[0] else word
