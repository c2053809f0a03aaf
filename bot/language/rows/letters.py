"""Short hand as letters: every tag of a note becomes one letter, so that a clause can be held against a pattern whole."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from itertools import pairwise

from bot.language.tags.tag import Tag
from bot.language.text.everyday import is_everyday
from bot.language.text.names import Names

# Letters: places P, bare numbers n, spans of numbers r, batches b, groups J, lines l, days D, clocks T, percent %, volumes V, amounts a, degrees g, money $,
# people h, foods f, additives s, quantities q, items i, cultures c; lengths e, weeks 5; what is negated or to come G; an empty box N; what is vague ~; other words ?; what no pattern holds !.
_CUES = (
    ("Z", ("wc", "changed")), ("^", ("topoff",)), ("X", ("bad", "bad_weak")), ("L", ("pull", "laid")), ("E", ("eyed",)), ("H", ("hatch",)), ("K", ("dead", "lost")), ("C", ("count",)), ("F", ("feed",)), ("O", ("move", "put")),
    ("S", ("sold",)), ("B", ("bought",)), ("R", ("left",)), ("z", ("snooze",)), ("v", ("harvest",)), ("j", ("crash",)), ("k", ("clean",)), ("d", ("done",)), ("I", ("mop_in",)), ("o", ("start",)), ("6", ("hold",)), ("7", ("release",)), ("8", ("wet",)), ("9", ("bag",)),
)  # fmt: skip
_MARKS = {sign: "".join(m for m, its in _CUES if sign in its) for _, signs in _CUES for sign in signs}
_NOUNS = (("m", ("mop", "eggs")), ("y", ("fry",)), ("M", ("male",)), ("W", ("female",)), ("p", ("pair",)), ("t", ("trio",)), ("w", ("water",)), ("U", ("peat",)), ("9", ("bag",)), ("u", ("juveniles", "adults", "fish")))  # fmt: skip
_SORTS = (
    ("except", "Q"),
    ("group", "J"),
    ("each", "A"),
    ("food", "f"),
    ("substance", "s"),
    ("quantity", "q"),
    ("item", "i"),
)
_KINDS = {"clock": "T", "vol": "V", "amount": "a", "deg": "g", "money": "$", "person": "h", "culture": "c", "pct": "%", "frac": "%", "times": "x", "len": "e"}  # fmt: skip
_MEANING: dict[str, str] = {
    ",": ", ; & + and then plus ( ) ·",
    ":": ": = - --",
    "/": "/",
    ">": "> to into",
    "@": "in on from off at for by out @",
    "*": "all both",
    "0": "none nothing nil zero nada zip zilch naught nope",
    "+": "more another again too also",
    "=": "same ditto",
    "<": "back",
    "y": "slider sliders",
    "A": "each",
    "d": "✓",
    "N": "☐",
    "£": "fine ok okay good healthy well perfect spotless thriving",
    "": "* ~ x the a an of i we he she had gave was were is are has have just about abt bout approx circa only so them it its they there ones did old last around total got tank tub that's those some "
    "went walk walkin am pm tiny belly small smaller big bigger biggest little large young nice few ' s counted-out there's theres he's she's it's were we've i've theyre they're these with his her my our this cool cold colder warm warmer aged yeast oats oatmeal flour cider",
}
_WORDS = {word: mark for mark, words in _MEANING.items() for word in words.split()}
NONE_WORDS = frozenset(_MEANING["0"].split())
_SEX = {"m": ("M", "male"), "f": ("W", "female")}
_BROKEN = frozenset(["stopped", "broke", "broken", "failed", "died"])  # of gear: not mended
_DRAINED = frozenset(["drained", "swapped out", "refreshed"])


def letters_of(tags: list[Tag], names: Names) -> list[tuple[str, Tag]]:
    """The letters of a sentence's tags, those that say nothing left out."""
    spelling = _Spelling(tags, names)
    for n in range(len(tags)):
        spelling.add(n)
    return spelling.out


class _Spelling:
    """A sentence as it is spelt, tag by tag."""

    def __init__(self, tags: list[Tag], names: Names) -> None:
        self.tags, self.names = tags, names
        self.out: list[tuple[str, Tag]] = []
        self.gear = any(t.says("item") for t in tags)
        self.grown = any(t.kind == "culture" or t.says("food") for t in tags)

    def add(self, n: int) -> None:
        """Spell one tag, unless it only leads on to others."""
        tag, out = self.tags[n], self.out
        if (tag.senses or tag.kind == "person") and self._leads_on(n):
            return
        mark, tag = self._mark(n)
        if mark == ">" and out and out[-1][1].word in ("-", "--"):
            out.pop()  # an arrow
        if tag.word == "now" and n == len(self.tags) - 1 and self._marks().split(",")[-1] in _NOW_THERE:
            out.append(("R", tag))
            return
        if tag.word in _READ_BY_OTHERS:
            mark, tag = self._by_what_was_spelt(n, mark, tag)
        before = out[-1][0] if out else ""
        if _says_nothing(self.tags, n, before) or (tag.word in _GOES_WITH and self._goes_with_its_verb(n, before)):
            return
        mark = self._unless_otherwise_meant(n, mark)
        if mark in _EITHER:
            mark = _either(mark, self.gear, self.grown)
        if mark == "R" and tag.word == "now" and before != "n":
            return
        if mark in _MAYBE_FISH:
            mark, tag = self._fish(n, mark, tag, before)
        if mark == before == "l" and tag.value == out[-1][1].value:
            return  # panda cory
        if mark == "P" and len(tag.value) > 1:
            for k, name in enumerate(tag.value):
                out += [(",", Tag("sep", ",", tag.at, tag.upto, ","))] if k else []
                out.append(("P", _like(tag, "place", (name,))))
        elif mark:
            after = self._after(n)
            opens = tag.word == "(" and before == "n" and after is not None and after.kind == "num"
            out.append((":" if opens else mark, tag))  # mops 2 3 (11, 7)

    def _after(self, n: int) -> Tag | None:
        return self.tags[n + 1] if n + 1 < len(self.tags) else None

    def _marks(self) -> str:
        return "".join(mark for mark, _ in self.out)

    def _leads_on(self, n: int) -> bool:
        """ "Nursery 11", "Ivo fed …": the role of a place named, and who of us did it."""
        tag, after = self.tags[n], self._after(n)
        if after is None:
            return False
        if after.kind == "place" and tag.says("role") and not tag.says("noun"):
            return True
        ours = tag.kind == "person" and tag.value in self.names.people
        return ours and (after.says("cue") or after.word in ("did", "has"))

    def _mark(self, n: int) -> tuple[str, Tag]:
        """The letter of a tag by itself, and by the words it is bound to."""
        tag, after, out = self.tags[n], self._after(n), self.out
        mark = _opening(self.tags, n, self.names) or letter(tag, self.names)
        if tag.word == "make" and n and self.tags[n - 1].word == "i" and after is not None and after.word == "it":
            mark = "C"  # "I make it 28"
        if tag.word == "took" and out and out[-1][0] == "h" and out[-1][1].value not in self.names.people:
            mark = "S"  # "tom b took 3 lampeye 18 bucks"
        if tag.says("role", "quarantine") and mark == "!" and not tag.says("volume"):
            kept_apart = self.names.with_role("quarantine")
            if len(kept_apart) == 1:
                return "P", _like(tag, "place", kept_apart)
        return mark, tag

    def _by_what_was_spelt(self, n: int, mark: str, tag: Tag) -> tuple[str, Tag]:
        """What a word is beside those spelt before it: "too" for "to", "free" for a price, "f" for females."""
        after, out, marks = self._after(n), self.out, self._marks()
        if tag.word == "too" and "O" in marks and after is not None and after.kind in ("num", "place"):
            mark = ">"  # "moved 12 from 13 too 16"
        if tag.word == "free" and _given_away(self.tags):
            mark, tag = "$", _like(tag, "money", 0.0)
        if tag.word in _OUT and out and out[-1][0] == "n" and "8" in marks:
            mark, tag = "y", _noun(tag, "fry")
        if tag.word == "club" and ("S" in marks or any(t.word == "auction" for t in self.tags)):
            mark = "?"  # where they were sold
        if mark == "?" and tag.word == "f" and len(out) > 1 and out[-1][0] == "/" and out[-2][0] == "M":
            mark, tag = "W", _noun(tag, "female")
        if tag.word == "but":
            mark = "Q" if "J" in marks else ","
        return mark, tag

    def _goes_with_its_verb(self, n: int, before: str) -> bool:
        """ "Moved up to", "caught up", "all but the medaka, which got …"."""
        tag, after = self.tags[n], self._after(n)
        if tag.word in ("which", "who"):
            return "Q" in self._marks()
        if tag.word != "up":
            return False
        to = after is not None and after.word in ("to", ">")
        return before == "O" or to or (n > 0 and self.tags[n - 1].word == "caught")

    def _unless_otherwise_meant(self, n: int, mark: str) -> str:
        """The letter of a tag, or "?" or "!" where its words may say something else."""
        tag, after = self.tags[n], self._after(n)
        if tag.kind != "num" and tag.word not in _OTHERWISE and not tag.says("food"):
            return mark
        if tag.word in ("twice", "thrice") and (after is None or after.word not in ("a", "per", "every", "each")):
            mark = "x"
        if tag.kind == "num" and tag.value == 1 and tag.note == "spelled" and _talk_of_one(after):
            mark = "?"  # "…, one stuck to the sponge"
        if tag.word == "caught" and after is not None and after.word == "up":
            mark = "?"
        if tag.word in ("which", "who"):
            mark = "!"
        if tag.says("food", "green water") and any(t.word in ("has", "have", "in") for t in self.tags):
            mark = "!"  # a tank may have turned green
        if tag.word in _KEEPING and any(t.kind == "person" for t in self.tags):
            mark = "!"  # promised to somebody at that price, and not sold
        return "!" if tag.word in _BROKEN and (self.gear or mark == "k") else mark

    def _fish(self, n: int, mark: str, tag: Tag, before: str) -> tuple[str, Tag]:
        """A line by its cut name, a sex by its letter, and the one tank called by its fish."""
        after = self._after(n)
        counted = before in ("n", "p", "t")
        if (mark == "?" or (mark == "i" and before == "n")) and (its := line_meant(tag.word, self.names, counted)):
            mark, tag = "l", _like(tag, "line", (its,))
        if mark == "?" and before == "l" and tag.word in _SEX:
            mark, sex = _SEX[tag.word]
            tag = _noun(tag, sex)
        repeated = mark == before == "l" and tag.value == self.out[-1][1].value
        tank = after is not None and after.says("noun", "tank") and not _a_tub(after, self.names)
        if mark == "l" and tank and not repeated:
            held = [p.name for p in self.names.places if p.line in tag.value and p.role == "breeders"]
            if len(held) == 1:
                return "P", _like(tag, "place", (held[0],))
        return mark, tag


_KEEPING = frozenset(["keep", "keeping", "kept", "holding", "saving", "saved"])
_MAYBE_FISH = ("?", "i", "l")
_GOES_WITH = ("which", "who", "up")
_READ_BY_OTHERS = frozenset(["too", "free", "club", "f", "but", "up", "out", "swimming"])
_OTHERWISE = frozenset(["twice", "thrice", "caught", "which", "who", *_KEEPING, *_BROKEN])


def _like(tag: Tag, kind: str, value: object) -> Tag:
    """A tag as it stands, but of another kind."""
    return Tag(kind, value, tag.at, tag.upto, tag.word)


def _noun(tag: Tag, noun: str) -> Tag:
    return Tag("lex", None, tag.at, tag.upto, tag.word, {"noun": frozenset((noun,))})


def _says_nothing(tags: list[Tag], n: int, before: str) -> bool:
    """Whether a word only leads on: "same tub", "first two hatched", "took 4 bad ones"."""
    tag, after = tags[n], tags[n + 1] if n + 1 < len(tags) else None
    if tag.word in ("(", ")"):  # "mop 14 (mon)"
        return any(t is not None and t.kind == "day" for t in (after if tag.word == "(" else tags[n - 1],))
    if tag.says("noun", "tank") or tag.word in ("place", "spot"):
        return before == "="
    if after is None or after.kind != "num":
        return False
    if tag.word == "first":
        return any(t.says("cue", "hatch", "eyed", "pull") for t in tags[n + 2 : n + 4])
    return tag.word in _TOOK and any(t.says("cue", "bad", "bad_weak") for t in tags[n + 2 : n + 5])


_TOOK = frozenset(["took", "taken", "removed", "fished", "netted", "sucked", "threw", "chucked", "binned"])


def _talk_of_one(after: Tag | None) -> bool:
    """Whether "one" opens talk of a single fish, and no count: a plain word follows that is no sign."""
    return after is not None and after.kind == "word" and len(after.word) > 3 and is_everyday(after.word)


_NOW_THERE = frozenset(["n@", "n@P", "n@b", "ny@P", "ny@b", "nm@P", "nu@P"])


_OUT = frozenset(["up", "out", "swimming"])  # of peat that was wetted: so many hatched


def _a_tub(tag: Tag, names: Names) -> bool:
    return "tank" not in names.head_words.get(tag.word, ("tank",))


def _given_away(tags: list[Tag]) -> bool:
    """Whether "free" is the price of what went to somebody, and not said of fish that are free again."""
    if any(t.says("cue", "release", "hold") for t in tags):
        return False
    to_them = any(b.kind == "person" and a.word in (">", "to", "for") for a, b in pairwise(tags))
    return to_them or any(t.says("cue", "sold") for t in tags)


def _opening(tags: list[Tag], n: int, names: Names) -> str:
    """ "+6 panda t15", "in: 1 m gul", "got 2pr gard $20": a note of fish that came in, by the word it opens with."""
    if n > 1:
        return ""
    word, after = tags[0].word, tags[1].word if len(tags) > 1 else ""
    if n == 1:
        if tags[0].kind != "num" or after != "new":
            return ""
        told = any(t.kind == "place" for t in tags) or any(
            a.word in ("in", "into") and b.kind == "num" for a, b in pairwise(tags)
        )
        opens = told and not any(t.says("cue", "dead", "sold", "move") for t in tags)
    else:
        opens = (
            word == "+" or (word == "in" and after == ":") or (word == "got" and any(t.kind == "money" for t in tags))
        )
    if not opens or any(t.says("noun", "eggs", "mop") for t in tags):
        return ""
    return "B" if any(t.kind == "line" or line_meant(t.word, names) for t in tags) else ""


_EITHER = ("Zk", "Kk", "ok", "vL", "Ov")


def _either(mark: str, gear: bool, grown: bool) -> str:
    """Which of two things a word says, by what else the sentence names: water or gear changed, fish or a heater died."""
    if mark == "Zk":
        return "k" if gear else "Z"
    if mark == "Kk":
        return "k" if gear else "K"
    if mark == "ok":
        return "o" if grown else "k"
    if mark == "Ov":
        return "v" if grown else "O"
    return "v" if grown else "L"


def letter(tag: Tag, names: Names) -> str:
    """The letter of a tag; empty for a word that says nothing here."""
    if tag.note == "quoted":
        return "!"
    if tag.note == "muted":
        return "?" if tag.kind in ("day", "clock") else "G"
    if tag.note == "idle":
        return ""
    if tag.says("guard") and tag.word not in _WORDS:
        return "G"
    if tag.kind == "day":
        return "~" if tag.value.vague else "G" if tag.value.future else "D"
    if tag.kind in ("place", "batch"):
        return "!" if not tag.value else "P" if tag.kind == "place" else "b"
    if tag.kind == "line":
        return "l" if len(tag.value) == 1 else "!"
    if tag.kind == "num":
        return "n" if tag.low is None else "r" if ids(tag, names) else "~"
    if tag.kind in _KINDS:
        return "!" if tag.low is not None or tag.value is None else _KINDS[tag.kind]
    if tag.kind == "dur" and tag.unit == "week" and tag.low is None:
        return "5"
    if tag.kind in ("dur", "size", "ordinal"):
        return "!"
    if tag.word in _WORDS and not tag.says("quantity"):
        return _WORDS[tag.word]
    if tag.kind == "punct":
        return "!" if tag.word in ("?", '"', "%", "#") else ""
    if tag.says("hearsay") or tag.word in _DRAINED:
        return "!"
    return _sign(tag)


def _sign(tag: Tag) -> str:
    if not tag.senses:
        return "?"
    cues = tag.senses.get("cue")
    if cues and "feed" in cues and tag.says("noun", "fry"):
        return "Y"  # fry food
    cued = cues is not None
    for sort, mark in _SORTS:
        if not cued and sort in tag.senses:
            return mark
    found = {mark for cue in cues or () for mark in _MARKS.get(cue, "")}
    if len(found) == 1:
        return found.pop()
    pair = next((p for p in _EITHER if set(p) == found), None)
    if pair is not None:
        return pair
    if not found and not cued:
        for mark, nouns in _NOUNS:
            if tag.says("noun", *nouns):
                return mark
    return "!"


def ids(tag: Tag, names: Names) -> list[str]:
    """The places a bare number or span of numbers names; empty when they do not name one each."""
    if tag.value != int(tag.value) or tag.approx or (tag.low is not None and tag.low != int(tag.low)):
        return []
    first = int(tag.value if tag.low is None else tag.low)
    if tag.value - first >= len(names.by_id):
        return []
    found = [names.by_id.get(str(n), ()) for n in range(first, int(tag.value) + 1)]
    return [x[0] for x in found] if all(len(x) == 1 for x in found) else []


def line_meant(word: str, names: Names, counted: bool = False) -> str | None:
    """The one line that a cut or voweless word means: "gul", "pnd"; None for ordinary words and where several fit.

    `counted`: a number stands before it, so that a plain word may be one, too: "4 fork".
    """
    plain_word = is_everyday(word) and word != "lamp" and not (counted and len(word) > 3)
    if len(word) < 3 or not word.isalpha() or plain_word:
        return None
    bare = [c for c in word if c not in "aeiou"] == list(word)
    fit = {
        line.name
        for line in names.lines
        for own in line.name.casefold().split()
        if own != word and (own.startswith(word) or (bare and [c for c in own if c not in "aeiou"] == list(word)))
    }
    return fit.pop() if len(fit) == 1 else None
