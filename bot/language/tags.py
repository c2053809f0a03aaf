"""Marks every stretch of a note with what it is: a place, a batch, a number with its unit, a day, a sign of an event."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import datetime as dt
import itertools
from dataclasses import dataclass, field
from typing import Any

from rapidfuzz.distance import OSA

from bot.language.days import MONTHS, WEEKDAYS, Clock, Day, clock_at, day_at, may_be_clock
from bot.language.everyday import is_everyday
from bot.language.figures import FRACTIONS, SOUNDS, UNITS, Item, items_of
from bot.language.names import SOUND_LETTERS, Names
from bot.language.vocabulary import DOMAIN, LEXICON, mended, misheard, phrase_at
from bot.language.words import STOPS, Token, tokens_of
from shared.room import LITRES

_COUNTED = frozenset({"eggs", "fry", "juveniles", "adults", "male", "female", "pair", "trio", "fish"})
_JOIN = frozenset({"and", ",", "&", "plus", "/", "n", "or"})
_THROUGH = frozenset({"through", "-", "to", "thru"})
_ARTICLES = frozenset({"the", "a", "an", "my", "our", "his", "her", "their", "this", "that", "some"})
_INTO = frozenset(
    {
        ">",
        "in",
        "into",
        "from",
        "to",
        "of",
        "on",
        "for",
        "with",
        "at",
        "between",
        "and",
        "off",
        "tank",
        "tub",
        "by",
        "under",
        "than",
    }
)
_CURRENCY = {"$": "USD", "£": "GBP", "€": "EUR"}
_CURRENCY_WORDS = {
    "bucks": "",
    "dollars": "USD",
    "dollar": "USD",
    "quid": "GBP",
    "pounds": "GBP",
    "euros": "EUR",
    "euro": "EUR",
    "usd": "USD",
    "eur": "EUR",
    "gbp": "GBP",
}
_LETTERS_AS_WORDS = frozenset(
    ["a", "i", "n", "u", "r", "x", "c", "m", "f", "y", "k", "g", "l", "s", "t", "o", "v", "d", "w", "p", "h"]
)


@dataclass(slots=True, eq=False)
class Tag:
    """One stretch of the note: `kind` says what it is, `value` which, `senses` what its words may be signs of."""

    kind: str
    value: Any
    at: int  # first item
    upto: int  # item after the last
    word: str = ""
    senses: dict[str, frozenset[str]] = field(default_factory=dict)
    low: float | None = None  # a range
    approx: bool = False
    unit: str = ""
    note: str = ""
    claimed: str = ""

    def says(self, sort: str, *values: str) -> bool:
        its = self.senses.get(sort)
        return its is not None and (not values or any(v in its for v in values))

    def one(self, sort: str) -> str | None:
        its = self.senses.get(sort)
        return min(its) if its else None


class Tagger:
    """Tags one note against the names of a room."""

    def __init__(self, names: Names, text: str, sent: dt.datetime) -> None:
        self.names = names
        self.sent = sent
        self.tokens: list[Token] = [part for token in tokens_of(text) for part in self._unglued(token)]
        known = names.known
        words = [mended(t.word, known) if t.is_word else t.word for t in self.tokens]
        for n, word in enumerate(words[:-1]):
            if word == "lots" and self.tokens[n + 1].is_number:
                words[n] = "lost"
        for n, word in enumerate(words[:-1]):  # "tabk 3"
            if (
                len(word) >= 4
                and word.isalpha()
                and self.tokens[n + 1].is_number
                and word not in names.head_words
                and not is_everyday(word)
                and (word,) not in LEXICON
                and (word,) not in names.line_words
            ):
                near = [h for h in names.heads if len(h) >= 3 and OSA.distance(word, h) <= 1]
                if len(near) == 1:
                    words[n] = near[0]
        self.items: list[Item] = items_of(self.tokens, words)
        self.words = [i.word for i in self.items]
        self.glued = [i.glued for i in self.items]
        self.tags: list[Tag] = []
        self.muted = self._quoted()
        self.shouting = sum(1 for t in self.tokens if t.raw.isupper() and len(t.raw) > 1) > 3
        at = 0
        while at < len(self.items):
            tag = self._tag(at)
            if at in self.muted:
                tag.note = "quoted"
            self.tags.append(tag)
            at = max(tag.upto, at + 1)
        self._bullets()
        self._times_of_day()
        self._row_times()
        self._numbered_rows()
        for one, two in zip(self.tags, self.tags[1:], strict=False):
            if one.kind == "pct" and two.senses.get("substance"):
                one.kind = "word"  # a strength: 3% peroxide
        self._heard_two()
        self._sounded()
        self._idle_ones()
        self._not_one_egg()

    # ---- helpers

    def _sounded(self) -> None:
        """Numbers a phone wrote as other words: "lost too lampeyes", "there are for dead", "tank two had ate"."""
        for n, tag in enumerate(self.tags):
            if (
                tag.word not in ("to", "too", "for", "fore", "ate", "won", "tree", "sicks")
                or tag.kind not in ("word", "lex")
                or not n
            ):
                continue
            if tag.at + 1 != tag.upto or self.items[tag.at].raw[0].isupper():
                continue
            before = self.tags[n - 1]
            after = self.tags[n + 1] if n + 1 < len(self.tags) else None
            opens = before.word in (
                "had",
                "got",
                "are",
                "were",
                "only",
                "just",
                "found",
                "another",
                "gave",
            ) or before.says("cue", "lost", "dead", "pull", "sold", "bad")
            if not opens:
                continue
            counted = (
                after is not None
                and (after.says("noun", *_COUNTED) or after.kind == "line" or after.says("cue", "dead", "bad", "eyed"))
                and not after.says("unit")
                and after.word not in ("cull", "put down", "lose")  # "had to cull"
            )
            ends = (
                tag.word in ("ate", "won", "too", "tree", "sicks")
                and before.word in ("had", "got")
                and (after is None or after.kind in ("stop", "punct") or after.word == "of")
            )
            if counted or ends or (tag.word in ("won", "tree", "sicks") and after is not None and after.word == "of"):
                tag.kind, tag.value, tag.senses, tag.note = "num", float(SOUNDS[tag.word]), {}, "spelled"

    def _in_pairs(self, at: int) -> bool:
        """Whether "1:18" stands in a row of pairs of which one cannot be a time: "eggs 1:18 2:0 3:24"."""

        def pair(n: int) -> bool:
            its = self.items[n : n + 3]
            return (
                n >= 0
                and len(its) == 3
                and its[1].word == ":"
                and its[1].glued
                and its[2].glued
                and its[0].num is not None
                and its[2].num is not None
            )

        if not pair(at):
            return False
        row = [at]
        for step in (-1, 1):
            n = at
            while True:
                n += 3 * step
                if self.w(n if step > 0 else n + 2) == ",":
                    n += step
                if not pair(n):
                    break
                row.append(n)
        return len(row) > 1 and any(len(self.items[n + 2].raw) != 2 or (self.items[n + 2].num or 0) > 59 for n in row)

    def _not_one_egg(self) -> None:
        """ "Not an egg", "not one single egg": none."""
        for n, tag in enumerate(self.tags):
            finds = (
                n
                and tag.word in ("find", "found", "get", "see", "spot", "have", "got", "collect", "had")
                and self.tags[n - 1].says("guard", "not")
            )
            if tag.word not in ("not", "nary") and not finds:
                continue
            m = n + 1
            while m < len(self.tags) and self.tags[m].word in (
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
            if m > n + 1 and m < len(self.tags) and self.tags[m].says("noun", "eggs"):
                tag.word = "no"
                for idle in self.tags[n - 1 if finds else n + 1 : m]:
                    if idle is tag:
                        continue
                    idle.senses = {}
                    idle.kind, idle.word, idle.note = "word", "", "idle"

    def _unglued(self, token: Token) -> list[Token]:
        """A tub's word and letter written as one: "tubC"."""
        if (
            not token.is_word
            or len(token.word) < 4
            or (is_everyday(token.word) and not (token.raw[-1].isupper() and token.raw[0].islower()))
        ):
            return [token]
        for head, ids in self.names.heads.items():
            size = len(head)
            if (
                len(head) > 2
                and token.word.startswith(head)
                and token.word[size:] in ids
                and len(token.word) == size + 1
            ):
                if token.word[size:] == "s" and not token.raw[-1].isupper():
                    continue
                cut = token.end - 1
                return [
                    Token(head, token.raw[:size], token.start, cut, token.glued),
                    Token(token.word[size:], token.raw[size:], cut, token.end, True),
                ]
        return [token]

    def _is_id(self, item: Item) -> bool:
        return item.whole is not None and str(item.whole) in self.names.by_id

    def _bullets(self) -> None:
        """Dashes and boxes at the heads of rows say nothing of their own; a ticked box says done, an empty one not done."""
        out: list[Tag] = []
        opens, skip = True, False
        for n, tag in enumerate(self.tags):
            after = self.tags[n + 1] if n + 1 < len(self.tags) else None
            if tag.word == "\n":
                opens, skip = True, False
            elif skip or (
                opens
                and tag.kind == "punct"
                and tag.word in ("-", "*", "+")
                and after is not None
                and not self.glued[after.at]
            ):
                continue
            elif (
                opens
                and tag.word == "["
                and after is not None
                and (after.word == "]" or (after.word in ("x", "✓") and self.w(after.upto) == "]"))
            ):
                skip = after.word == "]"
                if not skip:
                    after.kind, after.word, after.senses = "lex", "✓", {"cue": frozenset({"done"})}
                continue
            elif tag.word == "]" and n and self.tags[n - 1].word == "✓":
                continue
            else:
                opens = False
            out.append(tag)
        self.tags = out

    def _times_of_day(self) -> None:
        """In a list of clock times the bare hours are times too: "7, 9:30, 11:45", "at eight noon four and six"."""
        for n, first in enumerate(self.tags):
            if (
                n == 0
                or self.tags[n - 1].word not in ("at", "@")
                or (n > 1 and self.tags[n - 2].word in ("look", "looked", "looking", "temps", "is", "was"))
            ):
                continue
            run = [first]
            joined = False
            for tag in self.tags[n + 1 :]:
                if tag.word in (",", "and", "&"):
                    joined = joined or tag.word != ","
                    continue
                if tag.kind not in ("num", "clock"):
                    break
                run.append(tag)
            hours = all(
                t.kind == "clock" or (t.value == int(t.value) and 1 <= t.value <= 12 and t.low is None and not t.approx)
                for t in run
                if t.kind in ("num", "clock")
            )
            last = run[-1]
            if (
                len(run) > 1
                and hours
                and run[0].kind in ("num", "clock")
                and (joined or any(t.kind == "clock" and not t.note for t in run))
            ) and (
                last.kind == "clock"
                or not (
                    self._counted(last.upto - 1)
                    or self.w(last.upto) in ("of", "in", "on", "from", "was", "had")
                    or (self.w(last.upto) == "to" and self.w(last.upto + 1).isdigit())
                )
            ):
                for tag in run:
                    if tag.kind == "num":
                        tag.kind, tag.value = "clock", Clock(int(tag.value))
        real = [t for t in self.tags if t.word not in (",", "and", "&")]
        for one, two in itertools.pairwise(real):
            if (
                one.kind == "clock"
                and two.kind == "num"
                and self._hour(two)
                and (two.at - one.upto >= 1 or (one.value.half == "24" and not one.note))
            ):
                two.kind, two.value = "clock", Clock(int(two.value))
        for one, two in reversed(list(itertools.pairwise(real))):
            if (
                one.kind == "num"
                and two.kind == "clock"
                and two.at - one.upto == 1
                and self.w(one.upto) in (",", "and")
                and self._hour(one)
            ):
                one.kind, one.value = "clock", Clock(int(one.value))

    def _row_times(self) -> None:
        """Rows that begin with an hour: once one does for certain, bare hours at the head of the others are times too."""
        heads = [t for n, t in enumerate(self.tags) if n == 0 or self.tags[n - 1].word == "\n"]
        sure = [t for t in heads if t.kind == "clock"]
        bare = [
            t for t in heads if t.kind == "num" and t.value == int(t.value) and 1 <= t.value <= 23 and t.low is None
        ]
        if sure and bare and len(sure) + len(bare) >= 3:
            for tag in bare:
                tag.kind, tag.value = "clock", Clock(int(tag.value))

    def _numbered_rows(self) -> None:
        """Rows numbered "1." "2." "3.": the numbers say nothing."""
        rows = [
            n
            for n, t in enumerate(self.tags[:-1])
            if t.kind == "num" and (n == 0 or self.tags[n - 1].word == "\n") and self.tags[n + 1].word in (".", ")")
        ]
        values = [self.tags[n].value for n in rows]
        if len(rows) >= 2 and values == [float(k) for k in range(1, len(rows) + 1)]:
            for n in rows:
                self.tags[n].kind, self.tags[n].note = "word", "idle"
                self.tags[n + 1].kind = "punct"

    def _hour(self, tag: Tag) -> bool:
        if tag.value != int(tag.value) or not 1 <= tag.value <= 23 or tag.low is not None or tag.approx:
            return False
        return not self._counted(tag.upto - 1) and self.w(tag.upto) in (
            ",",
            "and",
            "",
            ".",
            "\n",
            "all",
            "today",
            "yesterday",
            "!",
            "&",
            "while",
            "when",
            "then",
        )

    def _heard_two(self) -> None:
        """ "lost too lampeyes": a phone's "too" where only a number can stand."""
        end = Tag("stop", "", len(self.items), len(self.items))
        for before, tag, after in zip(self.tags, self.tags[1:], [*self.tags[2:], end], strict=False):
            if (
                tag.kind == "word"
                and tag.word in ("too", "to")
                and before.says("cue", "lost", "dead", "pull", "hatch", "sold")
                and (after.kind == "line" or after.says("noun", "eggs", "juveniles", "male", "female"))
            ):
                tag.kind, tag.value, tag.note = "num", 2.0, "spelled"
            if tag.word in ("for", "fore") and (
                before.says("cue", "hatch", "lost", "laid")
                and (after.kind == "line" or after.says("noun", "eggs", "fry"))
            ):
                tag.kind, tag.value, tag.note = "num", 4.0, "spelled"
            if tag.word == "ate" and before.word == "at":
                tag.kind, tag.value, tag.senses = "clock", Clock(8), {}
            heard = {"ate": 8.0, "won": 1.0, "fife": 5.0}.get(tag.word)
            if (
                heard
                and before.word in ("in", "from")
                and (after.kind in ("stop", "punct") or after.word in ("and", "is", "was", "had"))
            ):
                tag.kind, tag.value, tag.note, tag.senses = "num", heard, "spelled", {}

    def _idle_ones(self) -> None:
        """Numbers that count nothing: "that one", "one of these days", "both tanks"."""
        for n, tag in enumerate(self.tags):
            if tag.kind != "num":
                continue
            before = self.tags[n - 1].word if n else ""
            after = self.tags[n + 1].word if n + 1 < len(self.tags) else ""
            if n > 1 and before == "the" and self.tags[n - 2].word == "of" and after in ("eggs", "fry", "fish", "egg"):
                tag.kind, tag.note = "word", "idle"
                continue
            heads = self.tags[n + 1] if n + 1 < len(self.tags) else None
            if heads is not None and heads.says("noun", "tank") and heads.word.endswith("s") and tag.low is None:
                tag.kind, tag.note = "word", "idle"  # "did three bowls"
                continue
            than = self.tags[n + 2].word if n + 2 < len(self.tags) else ""
            later = self.tags[n + 1] if n + 1 < len(self.tags) else None
            if (
                before in ("makes", "that's", "making")
                and later is not None
                and later.kind == "day"
                and later.value.vague
            ):
                tag.kind, tag.note = "word", "idle"  # "that makes two this week"
                continue
            if after in ("more", "fewer", "less") and than == "than":
                tag.kind, tag.note = "word", "idle"  # "3 more than yesterday"
                continue
            if before == "only" and n > 1 and self.tags[n - 2].kind == "place":
                continue  # "to tub B only one"
            if n and before in _ARTICLES and n + 1 < len(self.tags) and self.tags[n + 1].says("group"):
                tag.kind, tag.note = "word", "idle"  # "the three egg tubs"
                continue
            if (
                n > 1
                and before == "the"
                and self.tags[n - 2].word == "of"
                and any(t.kind == "num" and t.value < tag.value for t in self.tags[max(0, n - 5) : n - 2])
            ):
                tag.kind, tag.note = "word", "idle"  # "15 of the 24"
                continue
            if (
                n > 1
                and before == "which"
                and self.tags[n - 2].word == "of"
                and not any(t.says("cue", "bad", "bad_weak", "dead", "eyed", "hatch") for t in self.tags[n + 1 : n + 4])
            ):
                tag.kind, tag.note = "word", "idle"  # "80, of which 3 were small"
                continue
            rest = self.tags[n + 1] if n + 1 < len(self.tags) else None
            if (
                n > 1
                and before == "of"
                and self.tags[n - 2].kind == "num"
                and self.tags[n - 2].value < tag.value
                and rest is not None
                and (rest.says("cue", "hatch", "eyed", "bad", "dead") or rest.word in ("have", "are", "were"))
            ):
                tag.kind, tag.note = "word", "idle"  # "5 of 52 hatched"
                continue
            if n > 1 and before == "take" and self.tags[n - 2].word in ("or", "and"):
                tag.kind, tag.note = "word", "idle"
                continue
            if after in self.names.head_words and after.endswith("s") and len(after) > 3 and tag.note == "spelled":
                tag.kind, tag.note = "word", "idle"  # "did three bowls"
                continue
            idle = (after in _UNCOUNTED and before not in (",", "and", "&")) or before in (
                "gen",
                "generation",
                "number",
                "chapter",
                "channel",
                "page",
                "version",
                "area",
                "zone",
                "route",
                "aisle",
            )
            if before == "day":
                idle = True  # day three
            if (
                tag.value == 1
                and tag.note == "spelled"
                and n
                and self.tags[n - 1].kind in ("pct", "frac", "vol", "len", "deg")
            ):
                idle = True  # a 30 % one
            raw = self.items[tag.at].raw
            if (
                raw == "2"
                and after
                in (
                    "see",
                    "do",
                    "say",
                    "get",
                    "tell",
                    "be",
                    "go",
                    "me",
                    "you",
                    "count",
                    "work",
                    "look",
                    "find",
                    "it",
                    "sort",
                    "buy",
                    "clean",
                    "make",
                    "lay",
                    "hatch",
                    "feed",
                )
            ) or (
                raw == "4"
                and after
                in ("me", "now", "sale", "him", "her", "sure", "ever", "it", "them", "us", "tea", "dinner", "bed")
            ):
                idle = True
            if tag.value == 1 and tag.note == "spelled":
                idle = (
                    idle
                    or before in _POINTING
                    or after
                    in (
                        "by",
                        "time",
                        "day",
                        "night",
                        "week",
                        "thing",
                        "or",
                        "clump",
                        "inch",
                        "hour",
                        "another",
                        "that",
                        "is",
                        "was",
                        "who",
                        "looks",
                        "has",
                        "when",
                        "way",
                        "side",
                        "corner",
                        "end",
                    )
                )
                idle = idle or (
                    after in ("", ",", ".", "!", "?", "\n")
                    and before.isalpha()
                    and before
                    not in (
                        "in",
                        "had",
                        "got",
                        "just",
                        "only",
                        "lost",
                        "from",
                        "on",
                        "of",
                        "and",
                        "to",
                        "eggs",
                        "maybe",
                        "another",
                    )
                )
            if idle:
                tag.kind, tag.note = "word", "idle"

    def w(self, at: int) -> str:
        return self.words[at] if 0 <= at < len(self.words) else ""

    def _quoted(self) -> set[int]:
        marks = [n for n, word in enumerate(self.words) if word == '"']
        out: set[int] = set()
        for first, last in zip(marks[::2], marks[1::2], strict=False):
            if last - first > 3:
                out.update(range(first, last + 1))
        return out

    def _tag(self, at: int) -> Tag:
        item = self.items[at]
        word = item.word
        if word in STOPS:
            if word == "✓":
                return Tag("lex", word, at, at + 1, word, {"cue": frozenset({"done"})})
            if (
                word == "·"
                and at + 1 < len(self.items)
                and self.items[at + 1].raw[0].islower()
                and at
                and self.items[at - 1].raw[0].isalnum()
                and self.items[at + 1].word not in _SENTENCE_STARTS
            ):
                return Tag("punct", ",", at, at + 1, ",")
            if word == "." and (
                self.w(at - 1) in ("mr", "mrs", "ms", "dr", "approx", "gal")
                or (self.w(at - 1) in ("a", "p") and self.w(at + 1) == "m")
                or (self.w(at - 1) == "no" and self.items[at + 1 : at + 2] and self.items[at + 1].num is not None)
                or (
                    self.w(at + 1)
                    and self.items[at + 1].glued
                    and self.items[at + 1].num is None
                    and len(self.w(at - 1)) == 1
                )
            ):
                return Tag("punct", word, at, at + 1, word)
            return Tag("stop", word, at, at + 1, word)
        for find in (self._time, self._taught, self._batch, self._place, self._culture, self._misheard, self._person):
            if find == self._misheard and self._lexed(at):
                continue
            tag = find(at)
            if tag:
                return tag
        exact = self._line(at, exact=True)
        lexed = self._lexed(at)
        if exact and (lexed is None or exact.upto >= lexed.upto):
            longer = self._line(at, exact=False, least=exact.upto - at + 1, among=set(exact.value))
            return longer or exact
        if item.num is not None:
            found = self._number(at)
            if found:
                return found
        if (
            word == ">"
            and self.tags
            and self.tags[-1].kind == "num"
            and at + 1 < len(self.items)
            and self._is_id(self.items[at - 1])
            and self._is_id(self.items[at + 1])
            and item.glued
            and self.items[at + 1].glued
        ):
            before = self.tags[-1]
            before.kind, before.value = "place", self.names.by_id[str(self.items[at - 1].whole)][:1]
            return Tag("lex", "to", at, at + 1, "to", {"cue": frozenset({"move"})})
        if (
            word == ">"
            and self.tags
            and self.tags[-1].kind == "place"
            and at + 1 < len(self.items)
            and not self.items[at + 1].glued
        ) or (
            word == ">"
            and self.tags
            and (self.tags[-1].kind == "place" or (at + 1 < len(self.items) and self._place(at + 1) is not None))
        ):
            if self.tags[-1].kind not in ("place", "stop"):
                return Tag("word", "to", at, at + 1, "to")
            return Tag("lex", "to", at, at + 1, "to", {"cue": frozenset({"move"})})
        if (
            word == ">"
            and self.tags
            and self.tags[-1].kind == "num"
            and any(t.kind in ("batch", "line") or t.says("cue", "move") for t in self.tags[-6:])
        ):
            return Tag("lex", "to", at, at + 1, "to", {"cue": frozenset({"move"})})
        if word in ("tenner", "fiver"):
            return Tag("money", 10.0 if word == "tenner" else 5.0, at, at + 1, word, unit="GBP")
        if word in ("$", "£", "€") and self.items[at + 1 : at + 2] and self.items[at + 1].num is not None:
            return Tag("money", self.items[at + 1].num, at, at + 2, word, unit=_CURRENCY[word])
        if word in ("third", "quarter") and self.w(at + 1) == "of" and self.w(at - 1) not in ("the", "a", "one", "1"):
            return Tag("frac", FRACTIONS[word], at, at + 1, word)
        if word in ("half", "a", "one", "two", "most", "three") and (part := self._fraction(at)):
            return part
        if (
            word == "~"
            and self.items[at + 1 : at + 2]
            and self.items[at + 1].num is not None
            and (found := self._number(at + 1))
        ):
            found.at, found.approx = at, True
            return found
        if word == "the" and (size := self._size(at + 1, article=True)):
            size.at = at
            return size
        if lexed and lexed.upto - at > 1:
            return lexed
        fuzzy = self._line(at, exact=False)
        if fuzzy is None and lexed is None and (heard := self._misheard(at)):
            return heard
        if fuzzy and (lexed is None or fuzzy.upto - at > 1):
            return fuzzy
        if lexed:
            return lexed
        if not item.raw[0].isalnum():
            inside = word == "-" and item.glued and at + 1 < len(self.items) and self.items[at + 1].glued
            letters = inside and self.w(at - 1).isalpha() and self.w(at + 1).isalpha()
            minus = (
                word == "-"
                and not item.glued
                and at + 1 < len(self.items)
                and self.items[at + 1].glued
                and self.items[at + 1].num is not None
            )
            return Tag("punct", word, at, at + 1, word, note="inside" if letters else "minus" if minus else "")
        if word == "e" and item.glued and at and self.items[at - 1].num is not None and item.raw == "e":
            return Tag("lex", "eggs", at, at + 1, "eggs", {"noun": frozenset({"eggs"})})  # 14e
        if (
            word == "top"
            and (any(t.kind == "place" for t in self.tags[-1:]) or (at + 1 < len(self.items) and self._place(at + 1)))
            and self.w(at + 1) not in ("of", "shelf", "rack")
        ):
            return Tag("lex", word, at, at + 1, word, {"cue": frozenset({"topoff"})})
        return Tag("word", word, at, at + 1, word)

    # ---- days and times

    def _time(self, at: int) -> Tag | None:
        word = self.words[at]
        if word == "tank" and self.w(at + 1) == "you":
            return Tag("word", "thank", at, at + 1, "thank")
        size = 0
        value: Day | Clock | None = None
        day = day_at(self.items, at, self.sent, self.names.day_first)
        if day:
            size, value = day
            return Tag("day", value, at, at + size, " ".join(self.words[at : at + size]))
        clock = None if self._in_pairs(at) else clock_at(self.items, at)
        if clock:
            size, value = clock
            return Tag("clock", value, at, at + size, word)
        if self.items[at].num is not None and may_be_clock(self.items, at):
            before = self.tags[-2] if len(self.tags) > 1 else None
            was = self.w(at - 2)
            if (before is not None and before.kind == "lex" and before.says("quantity")) or was in (
                "was",
                "is",
                "reads",
                "it's",
            ):
                return None
            after = self.w(at + 1)
            if (
                after in ("and", ",")
                and self.items[at + 2 : at + 3]
                and self.items[at + 2].num is not None
                and self.w(at - 1) != "at"
            ):
                return None
            return Tag("clock", Clock(int(self.items[at].num or 0)), at, at + 1, word, note="weak")
        return None

    # ---- names

    def _taught(self, at: int) -> Tag | None:
        for size in self.names.taught_sizes:
            words = tuple(self.words[at : at + size])
            if len(words) < size:
                continue
            if words in self.names.whole and (size > 1 or (not words[0].isdigit() and len(words[0]) > 1)):
                return Tag("place", (self.names.whole[words],), at, at + size, " ".join(words))
            for word, means in self.names.words.items():
                if tuple(word.lower().split()) == words:
                    if means in self.names.batch_of:
                        return Tag("batch", means, at, at + size, word)
                    if means in self.names.cultures:
                        return Tag("culture", means, at, at + size, word)
        return None

    def _batch(self, at: int) -> Tag | None:
        if at >= len(self.items):
            return None
        word = self.words[at]
        nxt = self.items[at + 1] if at + 1 < len(self.items) else None
        if word in ("batch", "batches") and nxt is not None:
            inner = self._batch(at + 1)
            if inner:
                inner.at = at
                return inner
            if nxt.whole is not None:
                for prefix in self.names.batch_prefixes:
                    if f"{prefix}{nxt.whole}" in self.names.batch_ids:
                        return Tag("batch", self.names.batch_ids[f"{prefix}{nxt.whole}"], at, at + 2, word)
        if nxt is None or nxt.whole is None:
            return None
        at2 = at + 1
        letter = word if word in self.names.batch_prefixes else SOUND_LETTERS.get(word, "")
        if letter not in self.names.batch_prefixes:
            return None
        heard = word != letter
        if heard and self.w(at - 1) in (
            "will",
            "should",
            "could",
            "must",
            "to",
            "might",
            "would",
            "can",
            "may",
            "there'll",
            "it'll",
            "they'll",
            "'ll",
            "i'll",
            "tub",
            "tank",
            "not",
        ):
            return None
        if not heard and not nxt.glued and (self.w(at - 1) in self.names.head_words):
            return None
        key = f"{letter}{nxt.whole}"
        if not heard and not nxt.glued and self._letters_listed(at, word):
            return None  # "A 12, B 20": tubs with their numbers
        if (
            key == "b4"
            and key not in self.names.batch_ids
            and nxt.glued
            and self.w(at - 1) not in _INTO
            and self.w(at + 2).isalpha()
        ):
            return Tag("word", "before", at, at + 2, "before")
        if key in self.names.batch_ids:
            size = at2 + 1
            if self.w(size) == "'" or (self.w(size) == "s" and self.items[size].glued):
                size += 1
            return Tag("batch", self.names.batch_ids[key], at, size, word)
        if (not heard and nxt.glued and nxt.whole < 1000 and key not in self.names.by_id) or self.w(at - 1) == "batch":
            return Tag("batch", None, at, at2 + 1, word, note=key.upper())
        return None

    def _letters_listed(self, at: int, word: str) -> bool:
        """Whether other places' letters stand with numbers of their own in the same note."""
        ids = self.names.by_id
        return word in ids and any(
            n not in (at, at + 1)
            and len(item.raw) == 1
            and item.raw.isupper()
            and item.word != word
            and item.word in ids
            and n + 1 < len(self.items)
            and self.items[n + 1].num is not None
            for n, item in enumerate(self.items)
        )

    def _ident(self, at: int, ids: dict[str, str], strong: bool) -> tuple[int, str] | None:
        """The number or letter of a place at an item, as figures, words, letters or what a phone made of them."""
        if at >= len(self.items):
            return None
        item = self.items[at]
        word = item.word
        nxt = self.items[at + 1] if at + 1 < len(self.items) else None
        if nxt is not None:  # A1, B-2, 2b
            for joined, size in ((f"{word}{nxt.word}", 2), (f"{word}{self.w(at + 2)}" if nxt.word == "-" else "", 3)):
                if joined and joined in ids and (item.num is not None) != (self.items[at + size - 1].num is not None):
                    return size, joined
            letter = SOUND_LETTERS.get(word, "")
            if strong and letter and nxt.whole is not None and f"{letter}{nxt.whole}" in ids:
                return 2, f"{letter}{nxt.whole}"
        if word.endswith("'s") and word[:-2] in ids and strong:
            return 1, word[:-2]
        if item.num is not None:
            if item.whole is not None and str(item.whole) in ids and "." not in item.raw:
                return 1, str(item.whole)
            return None
        if word in ids:
            return 1, word
        if strong and word.rstrip("s").rstrip("'") in UNITS and str(UNITS[word.rstrip("s").rstrip("'")]) in ids:
            return 1, str(UNITS[word.rstrip("s").rstrip("'")])  # tank ten's
        if strong:
            letter = SOUND_LETTERS.get(word, "")
            if (
                letter
                and letter in ids
                and not (word in ("are", "you", "he", "oh", "why", "hey") and nxt is not None and nxt.num is None)
            ):
                return 1, letter
            number = SOUNDS.get(word)
            if number is not None and str(number) in ids:
                follows = nxt.word if nxt is not None else ""
                if word in ("to", "for", "too") and (
                    (
                        follows in _ARTICLES
                        and not (
                            follows == "this" and self.w(at + 2) in ("morning", "evening", "afternoon", "am", "week")
                        )
                    )
                    or follows in self.names.head_words
                    or follows in ("be", "see", "get", "do", "make", "them", "it", "me")
                    or (nxt is not None and nxt.num is not None)
                ):
                    return None
                return 1, str(number)
        return None

    def _place(self, at: int) -> Tag | None:
        names = self.names
        item = self.items[at]
        word = item.word
        head_at = at
        if (
            at + 1 < len(self.items)
            and self.items[at + 1].num is not None
            and len(word) <= 2
            and self.items[at + 1].glued
            and f"{word}{self.w(at + 1)}" in names.by_id
        ):
            return self._bare_ident(at)
        heads = names.head_words.get(word)
        if (
            heads
            and len(word) == 1
            and not (at + 1 < len(self.items) and self.items[at + 1].glued and self.items[at + 1].num is not None)
            and not item.raw.isupper()
        ):
            heads = (
                None
                if not (at + 1 < len(self.items) and self.items[at + 1].num is not None and self.w(at - 1) in _INTO)
                else heads
            )
        if heads and len(word) == 1 and at + 1 < len(self.items) and self.items[at + 1].num is None:
            heads = None
        if (
            heads is None
            and word == "number"
            and self.w(at - 1) in ("in", "from", "into", "to", "on", "of")
            and self.w(at + 1).isdigit()
            and not any(t.kind == "culture" or t.says("noun", "culture") for t in self.tags)
        ):
            heads = tuple(names.heads)  # "the mop in number 3"
        if heads is None and word == "#" and at + 1 < len(self.items) and self.items[at + 1].num is not None:
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
            return self._bare_ident(at)
        cut = head_at + 1
        if (
            self.w(cut) in ("marked", "labelled", "labeled", "numbered")
            and cut + 1 < len(self.items)
            and self.items[cut + 1].num is not None
        ):
            cut += 1
        if self.w(cut) in ("with", "marked", "labelled", "labeled") and self.w(cut + 1) in (
            "the",
            "a",
            "number",
            "no",
            "#",
        ):
            skip = cut + 1
            while self.w(skip) in ("the", "a", "number", "no", "#", "letter"):
                skip += 1
            if self._ident(skip, {i: n for h in heads for i, n in names.heads.get(h, {}).items()}, strong=False):
                cut = skip
        if self.w(cut) in ("number", "no", "#", "num", "nr") and cut + 1 < len(self.items):
            cut += 2 if self.w(cut + 1) == "." else 1
        ids: dict[str, str] = {}
        clash: dict[str, list[str]] = {}
        for head in heads:
            for ident, name in names.heads.get(head, {}).items():
                ids.setdefault(ident, name)
                clash.setdefault(ident, []).append(name)
        plural = word.endswith("s") and word[:-1] in names.head_words
        got = self._ident(cut, ids, strong=len(word) > 1)
        if got is None:
            return self._head_without(at, cut, word, heads)
        size, ident = got
        found = [ident]
        end = cut + size
        end = self._more(end, ids, found, plural, plural or (self.items[cut].glued and len(word) == 1))
        if self.w(end) == "'" and self.w(end + 1) == "s" and self.items[end].glued and self.items[end + 1].glued:
            end += 2  # "tank 9's at 24"
        fits = clash[ident]
        if len(fits) > 1 and len(found) == 1:
            return Tag("place", (), at, end, word, note="|".join(fits))
        return Tag(
            "place", tuple(dict.fromkeys(ids[i] for i in found)), at, end, word, note="many" if len(found) > 1 else ""
        )

    def _head_without(self, at: int, cut: int, word: str, heads: tuple[str, ...]) -> Tag | None:
        """A word for tank with a number or letter the room lacks, or with none."""
        nxt = self.items[cut] if cut < len(self.items) else None
        if nxt is not None and nxt.whole is not None and not word.endswith("s") and (nxt.glued or len(word) > 1):
            after = self.w(cut + 1)
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

    def _more(self, end: int, ids: dict[str, str], found: list[str], plural: bool, ranges: bool | None = None) -> int:
        """The rest of a list or range of places after its first: "5, 7 and 8", "A B C", "1 thru 6"."""
        length: int | None = None
        while True:
            at = end
            if self.w(at) in _THROUGH and (plural or self.w(at) != "to"):
                nxt = self._ident(at + 1, ids, strong=False)
                if (
                    nxt
                    and not self._counted(at + 1 + nxt[0] - 1)
                    and (self.w(at) != "-" or self.items[at].glued or plural or ranges)
                ):
                    span = _range(found[-1], nxt[1], ids)
                    if span:
                        found.extend(span)
                        end = at + 1 + nxt[0]
                        continue
                return end
            skip = at
            joined = False
            while self.w(skip) in _JOIN and skip - at < 2:
                skip += 1
                joined = True
            if not joined and not (plural or (found[-1].isalpha() and self.w(skip) in ids)):
                return end
            if self.w(skip) in ("tank", "tub") or skip >= len(self.items):
                return end
            nxt = self._ident(skip, ids, strong=False)
            if nxt is None or self._counted(skip + nxt[0] - 1):
                return end
            if nxt[1].isalpha() and len(nxt[1]) == 1:
                raw = self.items[skip].raw
                if not raw.isupper() and nxt[1] in _LETTERS_AS_WORDS and not plural and nxt[1] in "aiurnx":
                    return end
                if (
                    nxt[1] in ("a", "i")
                    and self.w(skip + 1)
                    and self.w(skip + 1).isalpha()
                    and not plural
                    and not raw.isupper()
                ):
                    return end
            elif not plural and found[-1].isdigit():
                # one tank, then a figure: more tanks only in a chain closed by "and" or of three and more
                chain = self._chain(at, ids) if length is None else length
                length = chain
                if chain == 0 or (
                    chain == 1
                    and self.w(at) != "and"
                    and self.w(skip - 1) != "and"
                    and self.w(skip - 1) != "&"
                    and self.w(skip - 1) != "/"
                ):
                    return end
                if self.w(skip) in SOUNDS:
                    return end
            found.append(nxt[1])
            end = skip + nxt[0]

    def _chain(self, at: int, ids: dict[str, str]) -> int:
        """How many further numbers of places follow one another; 0 when they turn out to count something."""
        count = 0
        while True:
            skip = at
            while self.w(skip) in _JOIN and skip - at < 2:
                skip += 1
            if (
                skip == at
                or skip >= len(self.items)
                or self.items[skip].whole is None
                or str(self.items[skip].whole) not in ids
            ):
                return count
            if self._counted(skip):
                return 0
            count += 1
            at = skip + 1

    def _counted(self, at: int) -> bool:
        """Whether the number at an item counts or measures something: eggs, %, drops, or a line's fish."""
        if self.items[at].num is None:
            return False
        nxt = self.w(at + 1)
        if nxt == "in" and self.w(at + 2) in self.names.head_words and len(self.w(at + 2)) > 2:
            return True  # "7 in tank 15"
        if (
            nxt == "from"
            and (self.w(at + 2) in self.names.head_words or self.w(at + 2).isdigit())
            and self.w(at - 1) in _JOIN
        ):
            return True  # "ten from 1 and six from 3"
        if nxt in (
            "%",
            "percent",
            "of",
            "x",
            "/",
            ":",
            "°",
            "more",
            "gal",
            "gallon",
            "gallons",
            "ml",
            "l",
            "litres",
            "liters",
            "drops",
            "drop",
            "ppm",
            "days",
            "weeks",
            "hours",
            "am",
            "pm",
            ".",
        ):
            if nxt == "." or nxt == ":" or nxt == "/":
                return bool(
                    self.items[at + 2 : at + 3]
                    and self.items[at + 2].num is not None
                    and self.items[at + 1].glued
                    and self.items[at + 2].glued
                )
            return not (False)
        for step in (1, 2, 3):
            if at + step >= len(self.items) or self.items[at + step].num is not None or not self.w(at + step).isalpha():
                return False
            _size, entries = phrase_at(self.words, self.glued, at + step)
            senses = {(s, v) for s, v in entries}
            if any(s == "noun" and v in _COUNTED for s, v in senses) and self.w(at + step) not in (
                "f",
                "m",
                "ones",
                "fly",
            ):
                return True
            if any(s in ("unit", "volume") for s, _ in senses):
                return step == 1
            if any(s == "cue" and v in ("bad", "eyed") for s, v in senses) and step == 1:
                return True
            if any(s == "cue" for s, _ in senses) and any(v in ("dead",) for _, v in senses) and step == 1:
                return True
            if entries or self.w(at + step) in _INTO:
                return False
            if self.names.line_like((self.w(at + step),)):
                return True
        return False

    def _bare_ident(self, at: int) -> Tag | None:
        """A place's own letter or code standing alone: "A", "in F", "A1"."""
        names = self.names
        item = self.items[at]
        word = item.word
        nxt = self.items[at + 1] if at + 1 < len(self.items) else None
        if (
            item.num is None
            and len(word) <= 2
            and nxt is not None
            and nxt.num is not None
            and (nxt.glued or item.raw.isupper())
        ):
            key = f"{word}{nxt.word}"
            if key in names.by_id and len(names.by_id[key]) == 1:
                ids = {i: n[0] for i, n in names.by_id.items()}
                found = [key]
                end = self._more(at + 2, ids, found, plural=True)
                return Tag("place", tuple(ids[i] for i in found), at, end, key, note="many" if len(found) > 1 else "")
        if (
            item.num is not None
            and nxt is not None
            and nxt.glued
            and nxt.num is None
            and f"{word}{nxt.word}" in names.by_id
        ):
            return Tag("place", names.by_id[f"{word}{nxt.word}"][:1], at, at + 2, f"{word}{nxt.word}")
        letter = {"gee": "g", "dee": "d", "bee": "b", "eff": "f", "jee": "g", "cee": "c"}.get(word)
        if letter in names.by_id and self.w(at - 1) in ("in", "into", "from", "to") and len(names.by_id[letter]) == 1:
            return Tag("place", names.by_id[letter], at, at + 1, word, note="bare")
        if item.num is not None or word not in names.by_id or len(word) > 1:
            return None
        if at > 0 and self.items[at - 1].num is not None and item.glued:
            return None
        if nxt is not None and nxt.glued and nxt.word in ("'", "/"):
            return None
        before, after = self.w(at - 1), self.w(at + 1)
        upper = item.raw.isupper()
        place_before = bool(self.tags) and self.tags[-1].kind == "place"
        if word in ("a", "i"):
            if (
                upper
                and word == "a"
                and at + 1 < len(self.items)
                and self.items[at + 1].num is not None
                and before in ("", "\n", ".", ",", ":", "-")
            ):
                return (
                    Tag("place", names.by_id["a"][:1], at, at + 1, word, note="bare")
                    if len(names.by_id["a"]) == 1
                    else None
                )
            if (
                upper
                and word == "a"
                and after == ","
                and before in ("", "\n")
                and self.items[at + 2 : at + 3]
                and self.items[at + 2].num is not None
                and len(names.by_id["a"]) == 1
            ):
                return Tag("place", names.by_id["a"][:1], at, at + 1, word, note="bare")
            if upper and word == "a" and after == ">" and len(names.by_id["a"]) == 1:
                return Tag("place", names.by_id["a"][:1], at, at + 1, word, note="bare")
            listed = (after in (",", "and", "&", "+") or after in names.by_id) and upper and self._letter_next(at + 1)
            near = (
                upper
                and before in _INTO
                and ((not self.shouting and at > 1) or before in ("tub", "tank", "into", "from"))
            ) or (
                upper
                and before in _INTO
                and not (
                    after.isalpha()
                    and not phrase_at(self.words, self.glued, at + 1)[1]
                    and after
                    not in (
                        "and",
                        "into",
                        "to",
                        "too",
                        "with",
                        "is",
                        "was",
                        "has",
                        "had",
                        "this",
                        "today",
                        "now",
                        "are",
                        "at",
                        "yesterday",
                    )
                )
            )
            alone = upper and (
                after in (":", "", "-", "\n")
                or (
                    before in ("", "\n", ".", ",")
                    and word == "a"
                    and after
                    in ("hatched", "got", "had", "has", "changed", "wc", "is", "was", "now", "fed", "gets", "eyed")
                )
            )
            if not (listed or near or alone) or (word == "i" and not listed):
                return None
        elif (
            not upper
            and before in ("", "\n", ".")
            and word not in "aiurnxm"
            and after in ("fed", "got", "had", "water", "wc", "changed", "hatched", "gets", "eyed")
        ):
            pass
        elif not upper:
            if (
                before not in _INTO
                and not place_before
                and not (word not in _LETTERS_AS_WORDS and (after in names.by_id or before in names.by_id))
            ):
                return None
            if word in ("m", "f", "c", "x", "n", "u", "r", "s", "t") and before not in (
                "in",
                "into",
                "from",
                "tub",
                "tank",
                "to",
                "on",
                "of",
            ):
                return None
            if before == "to" and self.items[at - 2 : at - 1] and self.items[at - 2].num is not None and word in "fc":
                return None
        elif (
            (word in ("c", "f") and at > 0 and self.items[at - 1].num is not None)
            or (upper and nxt is not None and nxt.glued and nxt.num is None and nxt.word.isalpha())
            or (word in _LETTERS_AS_WORDS and word in ("m", "x") and before not in _INTO)
        ):
            return None
        elif (
            upper
            and before
            and self.items[at - 1].raw[:1].isupper()
            and before not in _INTO
            and not is_everyday(before)
            and not phrase_at(self.words, self.glued, at - 1)[1]
        ):
            return None  # Tom B
        options = names.by_id[word]
        if len(options) > 1:
            return Tag("place", (), at, at + 1, word, note="|".join(options))
        ids = {i: n[0] for i, n in names.by_id.items() if i.isalpha() and len(n) == 1}
        found = [word]
        end = self._more(at + 1, ids, found, plural=False)
        return Tag(
            "place",
            tuple(dict.fromkeys(ids[i] for i in found)),
            at,
            end,
            word,
            note="many" if len(found) > 1 else "bare",
        )

    def _letter_next(self, at: int) -> bool:
        while self.w(at) in (",", "and", "&", "+"):
            at += 1
        return self.w(at) in self.names.by_id and at < len(self.items) and self.items[at].raw.isupper()

    def _culture(self, at: int) -> Tag | None:
        size, entries = phrase_at(self.words, self.glued, at)
        foods = [v for s, v in entries if s == "food"]
        if not entries and self.words[at].isalpha() and not is_everyday(self.words[at]):
            for wide in (3, 2):
                heard = (
                    misheard("".join(self.words[at : at + wide]))
                    if all(w.isalpha() for w in self.words[at : at + wide])
                    else None
                )
                if heard and any(s == "food" for s, _ in LEXICON[(heard,)]):
                    size, foods = wide, [v for s, v in LEXICON[(heard,)] if s == "food"]
                    break
        word = " ".join(self.words[at : at + size]) if size else self.words[at]
        for head, ids in self.names.culture_ids.items():
            same = head == word or any(head.rstrip("s") == food.rstrip("s") for food in foods)
            if not same:
                continue
            cut = at + max(size, 1)
            if self.w(cut) in ("culture", "number", "no", "#"):
                cut += 1
                if self.w(cut) in ("number", "no", "#"):
                    cut += 1
            nxt = self.items[cut] if cut < len(self.items) else None
            if nxt is not None and nxt.whole is not None and (not self.items[cut].spelled or not self._counted(cut)):
                ident = str(nxt.whole)
                if (
                    ident not in ids
                    and nxt.whole < 20
                    and (
                        self.w(at - 1) in ("called", "named")
                        or (self.w(at - 1) == "it" and self.w(at - 2) in ("call", "name"))
                    )
                ):
                    return Tag("culture", f"{head} {ident}", at, cut + 1, word, note="new")
                if ident in ids:
                    return Tag("culture", ids[ident], at, cut + 1, word)
                if (
                    ids
                    and "" not in ids
                    and nxt.whole < 20
                    and (nxt.glued or self.w(cut - 1) in ("culture", "number", "#", "no"))
                ):
                    return Tag("culture", f"{head} {ident}", at, cut + 1, word, note="new")
                if "" not in ids and ids and nxt.whole <= len(ids) + 1 and not self._counted(cut):
                    return Tag("culture", f"{head} {ident}", at, cut + 1, word, note="new")
        return None

    def _person(self, at: int) -> Tag | None:
        for size in (2, 1):
            words = tuple(self.words[at : at + size])
            if len(words) == size and words in self.names.person_words:
                return Tag("person", self.names.person_words[words], at, at + size, " ".join(words))
        word = self.words[at]
        if word in ("mr", "mrs", "ms", "miss", "dr") and at + 1 < len(self.items):
            cut = at + (2 if self.w(at + 1) == "." else 1)
            if self.w(cut).isalpha():
                title = word.capitalize()
                return Tag("person", f"{title} {self.w(cut).capitalize()}", at, cut + 1, word)
        item = self.items[at]
        if word.endswith("'s") and item.num is None:
            stem = (word[:-2],)
            if stem in self.names.person_words:
                return Tag("person", self.names.person_words[stem], at, at + 1, word)
            if (
                item.raw[0].isupper()
                and len(word) > 4
                and not is_everyday(word[:-2])
                and not is_everyday(word)
                and word[:-2] not in self.names.known
                and not LEXICON.get(stem)
            ):
                return Tag("person", item.raw[:-2], at, at + 1, word, note="guess")
            return None
        if item.num is not None or len(word) < 3 or not word.isalpha() or word in self.names.known:
            return None
        if is_everyday(word) or phrase_at(self.words, self.glued, at)[0] or self.names.line_like((word,)):
            return None
        cap = item.raw[0].isupper() and not item.raw.isupper()
        before = self.w(at - 1)
        if (
            not cap
            and before in ("sold", "gave", "hold", "promised")
            and len(word) > 3
            and self.items[at + 1 : at + 2]
            and (self.items[at + 1].num is not None or self.w(at + 1) in ("a", "the", "two", "his", "her"))
        ):
            return Tag("person", word.capitalize(), at, at + 1, word, note="lower")
        if (
            not cap
            and self.w(at + 1)
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
            )
            and (at == 0 or self.words[at - 1] in STOPS or before in (",", "and"))
            and len(word) > 3
        ):
            return Tag("person", word.capitalize(), at, at + 1, word, note="lower")
        if cap or before in ("to", "for", "off", "from"):
            if not cap and (
                self.w(at + 1).isalpha()
                and phrase_at(self.words, self.glued, at + 1)[0] == 0
                and not is_everyday(self.w(at + 1))
            ):
                return None
            end = at + 1
            name = item.raw if cap else word.capitalize()
            nxt = self.items[end] if end < len(self.items) else None
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
                        and not phrase_at(self.words, self.glued, end)[0]
                        and nxt.word not in self.names.known
                    )
                )
            ):
                name += f" {nxt.raw}"
                end += 1
            return Tag("person", name, at, end, word, note="guess" if cap else "lower")
        return None

    def _line(self, at: int, exact: bool, least: int = 1, among: set[str] | None = None) -> Tag | None:
        names = self.names
        if self.items[at].num is not None or not self.words[at][0].isalpha():
            return None
        for size in (4, 3, 2, 1):
            words = tuple(self.words[at : at + size])
            if size < least or len(words) < size or (exact and any(not w[0].isalpha() for w in words)):
                continue
            if exact:
                meant = names.line_words.get(words, ())
                if not meant and size == 2 and len(words[1]) > 2 and words[1].isalpha():
                    meant = names.line_words.get(("".join(words),), ())  # "lamp eye"
                if not meant and size == 2 and words[1] == "i" and self.items[at + 1].raw == "I":
                    meant = names.line_words.get((words[0] + "eye",), ())  # "lamp I", as a phone hears it
                if not meant and size == 1 and len(words[0]) > 2 and words[0].endswith("'s"):
                    meant = names.line_words.get((words[0][:-2],), ())
            else:
                if (
                    size > 1
                    and words[0] not in names.known
                    and any(sort in ("noun", "cue", "unit") for sort, _ in LEXICON.get(words[:1], []))
                ):
                    continue  # "pr furzeri" is a pair, no name
                if (
                    words[0] in _STOPWORDS
                    or words[-1] in _STOPWORDS
                    or any(len(self.tokens[self.items[n].first].word) < 2 for n in range(at, at + size))
                    or len(self.tokens[self.items[at + size - 1].first].word) < 3
                    or any(
                        (i.num is not None and (not i.spelled or i.last > i.first)) or i.raw in STOPS or i.raw in ',-"'
                        for i in self.items[at : at + size]
                    )
                ):
                    continue
                if size > 1 and least == 1 and len(names.line_words.get(words[-1:], ())) == 1:
                    continue  # "says his gardneri": the last word is the whole name
                if least > 1 and any(w in DOMAIN or is_everyday(w) for w in words[least - 1 :]):
                    continue  # "the boesemani died": a plain word after the whole name is no part of it
                raw = tuple(self.tokens[self.items[n].first].word.replace("'", "") for n in range(at, at + size))
                meant = names.line_like(raw)
            if meant and among is not None and not set(meant) <= among:
                continue
            if meant and not (size == 1 and len(words[0]) < 3 and (self.w(at + 1) == "." or not exact)):
                end = at + size
                if self.w(end) == "s" and self.items[end].glued:
                    end += 1
                return Tag("line", meant, at, end, " ".join(words))
        return None

    def _size(self, at: int, article: bool) -> Tag | None:
        """A tank called by its size: "the 29", "30 breeder", "the 5.5 gallon"."""
        if at >= len(self.items) or self.items[at].num is None:
            return None
        size = float(self.items[at].num or 0)
        after = self.w(at + 1)
        word = f"{self.items[at].raw} {after}"
        cut = at + 1
        if self.w(cut) == "-":
            cut += 1
        named = self.w(cut) in (
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
        ) and (article or self.w(cut) in ("breeder", "long", "tall", "high"))
        if not named and not article:
            return None
        if not named and (
            self._counted(at)
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
            or self._batch(at + 1)
        ):
            return None
        places = self.names.sizes.get(size, ())
        if not places and named and self.w(cut) not in ("breeder",):
            return None
        if not places:
            return None
        whole = self.items[at].whole
        ident = self.names.by_id.get(str(whole), ()) if whole is not None and not named else ()
        end = cut + 1 if named else at + 1
        if named and self.w(end) in ("tank", "breeder", "aquarium", "tub"):
            end += 1
        return Tag("size", places, at, end, word, note="|".join(ident))

    # ---- numbers with what they belong to

    def _fraction(self, at: int) -> Tag | None:
        word, after, third = self.w(at), self.w(at + 1), self.w(at + 2)
        if word == "a" and after in FRACTIONS and third != "dozen":
            return Tag("frac", FRACTIONS[after], at, at + 2, after)
        if word == "half" and after in ("a", "an") and (unit := self._unit_at(at + 2)) and unit[1] == "unit":
            return Tag("amount", 0.5, at, at + 2 + unit[0], word, unit=unit[2])
        if (
            word == "half"
            and after in ("a", "an")
            and (unit := self._unit_at(at + 2))
            and unit[1] == "volume"
            and unit[2] != "bucket"
        ):
            return Tag("vol", self._litres(0.5, unit[2]), at, at + 2 + unit[0], word, unit=unit[2])
        if word == "half":
            if after in ("an", "a", "hour", "dozen", "past", "way"):
                return None
            return Tag("frac", 50.0, at, at + 1, word)
        return None

    def _number(self, at: int) -> Tag | None:
        item = self.items[at]
        value = float(item.num or 0)
        after = self.w(at + 1)
        before = self.w(at - 1)
        end = at + 1
        nxt = self.items[end] if end < len(self.items) else None
        approx = before in (
            "about",
            "~",
            "roughly",
            "maybe",
            "around",
            "approximately",
            "nearly",
            "almost",
            "circa",
            "say",
        )
        if (
            after == ","
            and nxt is not None
            and nxt.glued
            and at + 2 < len(self.items)
            and self.items[at + 2].glued
            and self.items[at + 2].raw.isdigit()
            and len(self.items[at + 2].raw) <= 2
            and (
                self.names.metric
                or item.raw == "0"
                or (
                    4 <= value < 10
                    and len(self.items[at + 2].raw) == 1
                    and any(t.says("quantity", "ph") for t in self.tags)
                )
                or (len(self.items[at + 2].raw) == 1 and bool(self.tags) and self.tags[-1].says("quantity"))
                or (value >= 10 and len(self.items[at + 2].raw) == 1 and any(t.says("quantity") for t in self.tags))
            )
            and not (self.w(at + 3) == "," and self.items[at + 3].glued)
            and not (before == "," and item.glued)
            and "." not in item.raw
        ):
            value = float(f"{item.raw}.{self.items[at + 2].raw}")
            end = at + 3
            after = self.w(end)
            nxt = self.items[end] if end < len(self.items) else None
        word = item.raw.lower()
        low: float | None = None
        if after == "/" and at + 2 < len(self.items) and self.items[at + 2].num and nxt is not None and nxt.glued:
            bottom = float(self.items[at + 2].num or 1)
            if 0 < value < bottom <= 8:
                return Tag("frac", 100 * value / bottom, at, at + 3, "/")
        if self.tags and self.tags[-1].says("role") and item.whole is not None:
            its = self.names.by_id.get(str(item.whole), ())
            role = self.tags[-1].one("role")
            if len(its) == 1 and role is not None and self.names.place_of[its[0]].role == role:
                return Tag("place", its, at, at + 1, word)
        if after in FRACTIONS and value <= 3 and item.spelled:
            return Tag("frac", value * FRACTIONS[after], at, end + 1, after)
        if (
            before == "between"
            and after == "and"
            and end + 1 < len(self.items)
            and self.items[end + 1].num is not None
            and not (self._is_id(item) and self._is_id(self.items[end + 1]))
        ):
            low, value, end = value, float(self.items[end + 1].num or 0), end + 2
            after = self.w(end)
            nxt = self.items[end] if end < len(self.items) else None
        if after in ("-", "to", "or", "through") and end + 1 < len(self.items) and self.items[end + 1].num is not None:
            top = float(self.items[end + 1].num or 0)
            if (
                (
                    (after == "-" and self.items[end].glued)
                    or after == "through"
                    or (after in ("to", "or") and (self._counted(end + 1) or self._unit_at(end + 2)))
                    or (
                        after == "to"
                        and before == "from"
                        and len(self.tags) > 1
                        and (self.tags[-2].says("group") or self.tags[-2].says("noun", "tank"))
                    )
                )
                and top > value
            ) or (
                after == "or"
                and top > value
                and not (
                    before == ","
                    and at > 1
                    and self._is_id(self.items[at - 2])
                    and self._is_id(item)
                    and self._is_id(self.items[end + 1])
                )
            ):
                low, value, end = value, top, end + 2
                after = self.w(end)
                nxt = self.items[end] if end < len(self.items) else None
        if after == "and" and self.w(end + 1) in ("a", "1") and self.w(end + 2) == "half":
            value, end = value + 0.5, end + 3
            after = self.w(end)
        elif (
            nxt is not None
            and nxt.num is not None
            and self.w(end + 1) == "/"
            and self.w(end + 2)
            and item.whole is not None
            and self.items[end + 2].num
            and float(nxt.num or 0) < float(self.items[end + 2].num or 0) <= 8
            and self.items[end + 1].glued
        ):
            value, end = value + float(nxt.num or 0) / float(self.items[end + 2].num or 1), end + 3
            after = self.w(end)
        nxt = self.items[end] if end < len(self.items) else None
        if after == "-" and self.w(end + 1) in ("something", "ish", "odd") and nxt is not None and nxt.glued:
            return Tag("num", value, at, end + 2, word, low=value, approx=True, note="vague")
        if after in ("ish", "something", "odd"):
            return Tag("num", value, at, end + 1, word, approx=True, low=None if after == "ish" else value)
        if after in ("%", "percent", "pct", "per") and not (
            after == "per" and self.w(end + 1) not in ("cent", "scent", "sent")
        ):
            return Tag("pct", value, at, end + (2 if after == "per" else 1), word, low=low, approx=approx)
        if after in _CURRENCY_WORDS or (
            after in _CURRENCY and not (self.items[end + 1 : end + 2] and self.items[end + 1].num is not None)
        ):
            return Tag("money", value, at, end + 1, word, unit=_CURRENCY_WORDS.get(after, _CURRENCY.get(after, "")))
        if after in ("st", "nd", "rd", "th") and nxt is not None and nxt.glued:
            return Tag("ordinal", value, at, end + 1, word)
        if after == "x" and nxt is not None and nxt.glued:
            return Tag("times", value, at, end + 1, word)
        if after in ("times",):
            return Tag("times", value, at, end + 1, word)
        if (
            before == "x"
            and item.glued
            and value <= 6
            and any(t.says("cue", "wc", "feed", "changed") or t.says("food") for t in self.tags[-3:])
        ):
            self.tags[-1].claimed = "x"
            return Tag("times", value, at, end, word)
        if before == "x" and item.glued and self.tags:
            self.tags[-1].claimed = "x"
        if self._is_time(at):
            return Tag(
                "clock",
                Clock(int(item.raw[:-2]), int(item.raw[-2:]), "24" if len(item.raw) == 4 else ""),
                at,
                end,
                word,
            )
        sized = self._size(at, article=False) if low is None else None
        if sized:
            return sized
        unit = self._unit_at(end)
        if (
            unit is None
            and self.w(end) in ("level", "heaped", "heaping", "rounded", "full", "scant", "big", "small")
            and (unit := self._unit_at(end + 1))
        ):
            end += 1  # one level tablespoon
        if unit:
            size, sort, name = unit
            if sort == "volume":
                litres = self._litres(value, name)
                low_l = self._litres(low, name) if low is not None else None
                return Tag("vol", litres, at, end + size, word, low=low_l, approx=approx, unit=name)
            if sort == "length":
                scale = {"mm": 1.0, "cm": 10.0, "in": 25.4}[name]
                return Tag("len", value * scale, at, end + size, word, low=low, unit=name)
            if sort == "degree":
                return Tag("deg", value, at, end + size, word, low=low, unit=name)
            if sort == "unit":
                return Tag("amount", value, at, end + size, word, low=low, unit=name)
            return Tag("dur", value, at, end + size, word, low=low, unit=name)
        return Tag("num", value, at, end, word, low=low, approx=approx, note="spelled" if item.spelled else "")

    def _is_time(self, at: int) -> bool:
        """Whether three or four figures in a feeding, watering or round are a clock time: "powder 0700 mw 1230"."""
        raw = self.items[at].raw
        if not (
            raw.isdigit()
            and len(raw) in (3, 4)
            and 500 <= int(raw) < 2400
            and int(raw[-2:]) < 60
            and int(raw[-2:]) % 5 == 0
        ):
            return False
        if self.w(at + 1) in (
            "eggs",
            "egg",
            "ml",
            "l",
            "fry",
            "fish",
            "litres",
            "liters",
            "drops",
            "%",
            "ppm",
            "/",
            "-",
            "lumens",
        ):
            return False
        back = [t for t in self.tags[-8:] if t.kind == "lex"]
        routine = any(t.says("food") or t.says("cue", "wc", "feed", "done", "topoff") or t.says("group") for t in back)
        counted = any(t.says("cue", "pull", "count", "sold") or t.says("quantity") for t in back)
        return routine and not counted and (self.tags[-1].kind == "lex" or self.w(at - 1) in (",", "and", "at"))

    def _litres(self, value: float, name: str) -> float | None:
        if name == "bucket":
            return None
        if name == "l":
            return value
        return value * LITRES["imperial" if self.names.gallon == "imperial" else "us"][name]

    def _unit_at(self, at: int) -> tuple[int, str, str] | None:
        word = self.w(at)
        glued = at < len(self.items) and self.items[at].glued
        if word in ("h", "hr", "hrs") and (
            glued or (word == "h" and self.w(at + 1) in ("a", "per", "/") and self.w(at + 2) == "day")
        ):
            return 1, "dur", "hour"
        if word in (
            "days",
            "day",
            "weeks",
            "week",
            "month",
            "months",
            "hours",
            "hour",
            "minutes",
            "minute",
            "year",
            "years",
            "seconds",
            "feet",
        ):
            return 1, "dur", word.rstrip("s")
        if word in ("f", "c") and glued and not (word == "f" and (self.items[at - 1].num or 0) < 40):
            return 1, "degree", word
        if word in ("f", "c") and not glued and self.items[at].raw.isupper() and self.w(at - 2) not in ("in", "to"):
            if self.w(at + 1) in ("", ".", ",", "and", "but"):
                return 1, "degree", word
            return None
        if word in ("l", "g") and not glued and (self.items[at].raw.isupper() and word in self.names.by_id):
            return None
        if word == "-" and self.w(at + 1) in ("gallon", "gal", "litre", "liter", "inch", "week", "day"):
            inner = self._unit_at(at + 1)
            return (inner[0] + 1, inner[1], inner[2]) if inner else None
        if word == "m" or word == "f":
            return None
        if word == "°" and self.w(at + 1) in ("f", "c", "dgh", "dkh", "dh", "d"):
            return 2, "degree", self.w(at + 1)
        size, entries = phrase_at(self.words, self.glued, at)
        for sort, value in entries:
            if sort in ("volume", "length", "degree", "unit"):
                if sort == "unit" and value in ("leaf",):
                    continue
                if sort == "volume" and value == "gal" and word == "g":
                    if not glued:
                        continue
                    return (1, "unit", "g") if self.names.metric or self._dosed_near(at) else (1, "volume", "gal")
                return size, sort, value
        return None

    def _dosed_near(self, at: int) -> bool:
        for step in range(-4, 4):
            if 0 <= at + step < len(self.items):
                _, entries = phrase_at(self.words, self.glued, at + step)
                if any(s == "substance" for s, _ in entries):
                    return True
        return False

    # ---- the trade's words

    def _lexed(self, at: int) -> Tag | None:
        size, entries = phrase_at(self.words, self.glued, at)
        if not size and self.words[at].endswith("'s"):
            entries = [e for e in LEXICON.get((self.words[at][:-2],), []) if e[0] in ("quantity", "item")]
            size = 1 if entries else 0  # "the temperature's 24"
        if not size:
            return None
        word = " ".join(self.words[at : at + size])
        if word == "sold" and self.w(at + 1) == "out":
            return None
        if (word == "lost" and self.w(at + 1) in ("count", "track", "interest", "power")) or (
            word in ("count", "track") and self.w(at - 1) == "lost"
        ):
            return None
        if word == "leaves" and self.w(at - 1) in ("that", "which", "this", "so", "and") and at + 1 < len(self.items):
            entries = [("cue", "left")]  # "that leaves nineteen"
        if word in ("gave me", "gave us") and self.tags and self.tags[-1].kind in ("place", "line"):
            entries = [("cue", "gave")]  # the tank gave them: nothing was bought
        if word in ("had", "got", "have") and self.w(at + 1) == "to" and is_everyday(self.w(at + 2)):
            return None  # "had to wait"
        if word == "leaving" and at + 1 < len(self.items) and self.items[at + 1].num is not None:
            entries = [("cue", "left")]
        if word in (
            "not an egg",
            "not a single egg",
            "not one egg",
            "not one single egg",
            "not 1 egg",
            "not 1 single egg",
        ):
            return Tag("lex", "none", at, at + size, "none", {"noun": frozenset({"eggs"})})
        senses: dict[str, set[str]] = {}
        for sort, value in entries:
            senses.setdefault(sort, set()).add(value)
        if word in ("am",) and not self._tested(at):
            return None
        if word == "lamp" and self.w(at + 1) != "":
            senses.pop("item", None)
        after_fish = (
            word in ("m", "f")
            and bool(self.tags)
            and (self.tags[-1].kind == "line" or self.tags[-1].says("cue", "dead"))
        )
        if word in ("m", "f", "g") and not (at > 0 and self.items[at - 1].num is not None) and not after_fish:
            return None
        return Tag("lex", word, at, at + size, word, {k: frozenset(v) for k, v in senses.items()})

    def _misheard(self, at: int) -> Tag | None:
        """A trade word cut in two or three by a phone that did not know it."""
        for size in (3, 2):
            words = self.words[at : at + size]
            if (
                len(words) < size
                or not all(w.isalpha() for w in words)
                or words[0] in _STOPWORDS
                or all(is_everyday(w) for w in words)
                or any(w in WEEKDAYS or w in MONTHS or (len(w) > 4 and (w,) in LEXICON) for w in words)
            ):
                continue
            word = misheard("".join(words))
            if word:
                senses: dict[str, set[str]] = {}
                for sort, value in LEXICON[(word,)]:
                    senses.setdefault(sort, set()).add(value)
                return Tag("lex", word, at, at + size, word, {k: frozenset(v) for k, v in senses.items()})
        return None

    def _tested(self, at: int) -> bool:
        """Whether "am" is the ammonia of a row of readings: a number follows, and no clock stands before it."""
        return at + 1 < len(self.items) and self.items[at + 1].num is not None and self.w(at - 1) not in ("i", "this")


_UNCOUNTED = frozenset(
    [
        "inches",
        "minutes",
        "inch",
        "hours",
        "buckets",
        "people",
        "tanks",
        "tubs",
        "hour",
        "years",
        "thirds",
        "mins",
        "mops",
        "feet",
        "sponges",
        "kids",
        "grandkids",
        "jars",
        "bags",
        "pages",
        "emails",
        "messages",
        "calls",
        "songs",
        "beers",
        "coffees",
        "cups",
        "tries",
        "attempts",
        "nets",
        "bucketfuls",
        "months",
        "places",
        "corners",
        "clumps",
        "racks",
        "shelves",
        "sites",
        "goes",
        "trips",
        "rinses",
    ]
)
_POINTING = frozenset(
    [
        "this",
        "that",
        "the",
        "other",
        "last",
        "another",
        "each",
        "every",
        "which",
        "old",
        "new",
        "dead",
        "cream",
        "first",
        "no",
        "big",
        "little",
        "white",
        "only",
        "next",
        "good",
        "bad",
        "same",
        "small",
        "biggest",
        "best",
        "smaller",
        "a",
        "green",
        "right",
        "wrong",
        "left",
        "empty",
        "fresh",
        "spare",
        "clean",
    ]
)
_SENTENCE_STARTS = frozenset(
    ["i", "my", "i'm", "i've", "he", "she", "they", "it's", "it", "we", "that", "this", "what", "how", "so", "anyway"]
)
_STOPWORDS = frozenset(
    [
        "the",
        "a",
        "an",
        "in",
        "on",
        "of",
        "to",
        "from",
        "and",
        "or",
        "but",
        "for",
        "with",
        "at",
        "by",
        "is",
        "was",
        "are",
        "were",
        "be",
        "it",
        "its",
        "my",
        "our",
        "their",
        "his",
        "her",
        "they",
        "them",
        "we",
        "i",
        "you",
        "he",
        "she",
        "this",
        "that",
        "these",
        "those",
        "so",
        "then",
        "as",
        "if",
        "when",
        "into",
        "out",
        "off",
        "up",
        "down",
        "not",
        "no",
        "some",
        "any",
        "all",
        "one",
        "two",
        "three",
        "there",
        "here",
        "now",
        "just",
        "has",
        "have",
        "had",
        "do",
        "did",
        "done",
        "got",
        "get",
        "went",
        "go",
        "gave",
        "give",
        "put",
        "fry",
        "eggs",
        "egg",
        "tank",
        "tub",
        "water",
        "fed",
        "feed",
        "moved",
        "pulled",
        "dead",
        "last",
        "next",
        "new",
        "big",
        "old",
        "few",
        "more",
        "most",
        "less",
        "what",
        "which",
        "who",
        "how",
        "why",
        "where",
        "can",
        "could",
        "should",
        "would",
        "will",
        "may",
        "might",
        "must",
    ]
)


def _unknown(heads: tuple[str, ...], word: str) -> str:
    for head in heads:
        if head and (word.rstrip("s") == head or len(word) <= 3):
            return head
    return heads[0] if heads and heads[0] else word


def _range(first: str, last: str, ids: dict[str, str]) -> list[str]:
    """The numbers or letters after `first` up to `last` that the room has."""
    if first.isdigit() and last.isdigit() and int(first) < int(last):
        return [str(n) for n in range(int(first) + 1, int(last) + 1) if str(n) in ids]
    if len(first) == len(last) == 1 and first < last:
        return [chr(n) for n in range(ord(first) + 1, ord(last) + 1) if chr(n) in ids]
    if first[:-1] == last[:-1] and first[-1:].isdigit() and last[-1:].isdigit():
        return [f"{first[:-1]}{n}" for n in range(int(first[-1]) + 1, int(last[-1]) + 1) if f"{first[:-1]}{n}" in ids]
    return []
