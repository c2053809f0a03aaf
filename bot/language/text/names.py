"""What the reader knows of one room: its places, lines, batches, cultures and people, and how they may be said."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from bot.language.text.sounds import sound
from bot.language.text.words import code_of, tokens_of
from shared.room import RoomCard

# Genus → what breeders call the family; general vocabulary of the trade.
FAMILIES = {
    "killi": "fundulopanchax aphyosemion epiplatys nothobranchius chromaphyosemion poropanchax aplocheilus rivulus austrolebias simpsonichthys fundulus aphyolebias "
    "pseudepiplatys scriptaphyosemion aplocheilichthys lacustricola jordanella cynolebias laimosemion anablepsoides callopanchax pachypanchax",
    "rainbow": "melanotaenia glossolepis chilatherina iriatherina bedotia rhadinocentrus pseudomugil",
    "blueeye": "pseudomugil",
    "medaka": "oryzias",
    "cory": "corydoras hoplisoma brochis gastrodermus osteogaster aspidoras",
    "notho": "nothobranchius",
}  # fmt: skip
FAMILY_WORDS = {
    "killi": ("killi", "killis", "killifish", "killies"),
    "rainbow": ("rainbow", "rainbows", "rainbowfish", "bows", "bow"),
    "blueeye": ("blue eye", "blue eyes", "blueeye"),
    "medaka": ("medaka", "medakas", "ricefish", "rice fish"),
    "cory": ("cory", "corys", "cories", "corydoras"),
    "notho": ("notho", "nothos"),
}
PLAIN = frozenset(["blue", "red", "gold", "golden", "black", "white", "green", "yellow", "orange", "silver", "pink", "purple", "grey", "gray", "wild", "new", "old", "big", "giant", "dwarf", "pygmy", "common", "fish", "line", "lyretail", "albino", "spotted", "striped", "bronze", "tail", "fin", "true", "fire", "snow", "sun", "ice", "sky", "steel", "star", "sea", "moon", "river", "lake", "night", "day", "royal"])  # fmt: skip
LETTER_SOUNDS = {
    "a": ("a", "ay", "eh", "hey"), "b": ("b", "be", "bee"), "c": ("c", "see", "sea", "si", "cee"), "d": ("d", "dee"), "e": ("e", "ee", "he"), "f": ("f", "ef", "eff"), "g": ("g", "gee", "jee"),
    "h": ("h", "aitch", "age"), "i": ("i", "eye"), "j": ("j", "jay"), "k": ("k", "kay"), "l": ("l", "el", "ell"), "m": ("m", "em"), "n": ("n", "en"), "o": ("o", "oh"), "p": ("p", "pea", "pee"),
    "q": ("q", "queue", "cue"), "r": ("r", "are"), "s": ("s", "ess"), "t": ("t", "tea", "tee"), "u": ("u", "you"), "v": ("v", "vee"), "w": ("w",), "x": ("x", "ex"), "y": ("y", "why"), "z": ("z", "zee", "zed"),
}  # fmt: skip
SOUND_LETTERS: dict[str, str] = {sound: letter for letter, sounds in LETTER_SOUNDS.items() for sound in sounds}


@dataclass(frozen=True)
class PlaceName:
    """A tank or tub: its canonical name and what may point at it."""

    name: str
    kind: str = "tank"
    role: str | None = None
    line: str | None = None
    volume: str | None = None
    aka: tuple[str, ...] = ()


@dataclass(frozen=True)
class BatchName:
    """A batch on hand."""

    name: str
    line: str
    stage: str
    place: str
    count: int | None = None


@dataclass(frozen=True)
class LineName:
    """A line the room keeps."""

    name: str
    species: str | None = None
    eggs: str | None = None
    aka: tuple[str, ...] = ()


_NAME = re.compile(r"^(?:(?P<head>.*\S)[\s_-]+)?(?P<id>\d+|[a-zA-Z]|[a-zA-Z]{1,2}-?\d{1,3}|\d{1,3}[a-zA-Z])$")


_VESSELS = ("tank", "tub", "jar", "bag", "bowl", "box", "bucket")


@dataclass(frozen=True)
class Names:
    """The names of one room. Built from a card by `Names.of`, or straight from its parts; cheap to build."""

    places: tuple[PlaceName, ...] = ()
    batches: tuple[BatchName, ...] = ()
    lines: tuple[LineName, ...] = ()
    cultures: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)  # taught: word → canonical name
    day_first: bool = False
    metric: bool = False
    gallon: str = "us"
    currency: str | None = None  # as ISO 4217 has it, where it is known

    @classmethod
    def of(cls, card: RoomCard, others: Iterable[str] = ()) -> Names:
        """The names on a room card; `others` are people who are not members (buyers)."""
        return cls(
            places=tuple(PlaceName(p.name, p.kind, p.role, p.line, p.volume, p.aka) for p in card.places),
            batches=tuple(BatchName(b.name, b.line, b.stage, b.place, b.count) for b in card.batches),
            lines=tuple(LineName(x.name, x.species, x.eggs, x.aka) for x in card.lines),
            cultures=card.cultures,
            people=(*card.members, *others),
            words=card.words,
            day_first=card.day_first,
            metric=card.units == "metric",
            gallon=card.gallon,
            currency=code_of(card.currency) if card.currency else "USD" if card.units == "us" else None,
        )

    # ---- places

    @cached_property
    def place_of(self) -> dict[str, PlaceName]:
        return {p.name: p for p in self.places}

    @cached_property
    def batch_of(self) -> dict[str, BatchName]:
        return {b.name: b for b in self.batches}

    @cached_property
    def _split(self) -> dict[str, tuple[str, str]]:
        """Canonical place name → the word before and the number or letter it ends in."""
        out = {}
        for place in self.places:
            hit = _NAME.match(place.name)
            if hit:
                out[place.name] = ((hit["head"] or "").lower(), hit["id"].lower().replace("-", ""))
        return out

    @cached_property
    def _once(self) -> list[tuple[str, tuple[str, str]]]:
        """Places that were called by a number or letter of their own before: their name, and word and number then."""
        hits = [(p.name, hit) for p in self.places for old in p.aka if (hit := _NAME.match(old))]
        return [(name, (hit["head"].lower(), hit["id"].lower())) for name, hit in hits if hit["head"] in _VESSELS]

    @cached_property
    def heads(self) -> dict[str, dict[str, str]]:
        """Word before → its numbers or letters → canonical name."""
        out: dict[str, dict[str, str]] = {}
        for name, (head, ident) in self._split.items():
            out.setdefault(head, {})[ident] = name
        for name, (head, ident) in self._once:
            out.setdefault(head, {}).setdefault(ident, name)
        return out

    @cached_property
    def by_id(self) -> dict[str, tuple[str, ...]]:
        """A number or letter alone → every place that ends in it."""
        out: dict[str, tuple[str, ...]] = {}
        for name, (_, ident) in self._split.items():
            out[ident] = (*out.get(ident, ()), name)
        for name, (_, ident) in self._once:
            out.setdefault(ident, (name,))
        return out

    @cached_property
    def head_words(self) -> dict[str, tuple[str, ...]]:
        """Every way a word before may be said → the heads it may stand for."""
        out: dict[str, tuple[str, ...]] = {}

        def add(word: str, head: str) -> None:
            if head not in out.get(word, ()):
                out[word] = (*out.get(word, ()), head)

        for head in self.heads:
            if not head:
                continue
            last = head.split()[-1]
            for word in {head, last}:
                add(word, head)
                add(word + "s", head)
                add(word + "es", head) if word[-1] in "sxh" else None
            if head == last:
                add(head[0], head)
                bones = head[0] + re.sub(r"[aeiou]", "", head[1:])
                if len(bones) > 1:
                    add(bones, head)
                    add(head[0] + head[-1], head)
                    add(bones[:2], head)
        kinds: dict[str, set[str]] = {}
        for name, (head, _) in self._split.items():
            kinds.setdefault(self.place_of[name].kind, set()).add(head)
        for kind, its in kinds.items():
            for head in its:
                for word in (kind, kind + "s", kind[0], *(("tnk", "tk") if kind == "tank" else ())):
                    add(word, head)
        return out

    @cached_property
    def whole(self) -> dict[tuple[str, ...], str]:
        """Names said whole, other names and taught words → canonical place name."""
        out: dict[tuple[str, ...], str] = {}
        for place in self.places:
            for name in (*(() if place.name in self._split else (place.name,)), *place.aka):
                out[spoken(name)] = place.name
        for word, means in self.words.items():
            if means in self.place_of:
                out[spoken(word)] = means
                out[_as_written(word)] = means
        return out

    @cached_property
    def taught_sizes(self) -> tuple[int, ...]:
        """How many words names said whole and taught words have, the longest first."""
        sizes = {len(words) for words in self.whole} | {len(word.split()) for word in self.words}
        return tuple(sorted(sizes, reverse=True))

    @cached_property
    def sizes(self) -> dict[float, tuple[str, ...]]:
        """The number of a tank's volume as written → the places of that size (tubs measured in cups left out)."""
        out: dict[float, tuple[str, ...]] = {}
        for place in self.places:
            hit = re.match(r"(\d+(?:[.,]\d+)?)\s*(gal|l\b|lit)", place.volume or "", re.IGNORECASE)
            if hit:
                size = float(hit[1].replace(",", "."))
                out[size] = (*out.get(size, ()), place.name)
        return out

    def with_role(self, role: str) -> tuple[str, ...]:
        return tuple(p.name for p in self.places if p.role == role)

    # ---- batches, lines, cultures

    @cached_property
    def batch_ids(self) -> dict[str, str]:
        """ "b22" → canonical name."""
        return {re.sub(r"[\s-]", "", b.name.lower()): b.name for b in self.batches}

    @cached_property
    def batch_prefixes(self) -> frozenset[str]:
        return frozenset(m[1] for m in (re.match(r"([a-z]+)\d", b) for b in self.batch_ids) if m)

    @cached_property
    def _by_place(self) -> dict[str, tuple[BatchName, ...]]:
        places = dict.fromkeys(b.place for b in self.batches)
        return {place: tuple(b for b in self.batches if b.place == place) for place in places}

    def batches_in(self, place: str) -> tuple[BatchName, ...]:
        return self._by_place.get(place, ())

    def lines_in(self, place: str) -> tuple[str, ...]:
        """The lines whose fish or eggs a place holds."""
        found = [b.line for b in self.batches_in(place)]
        own = self.place_of[place].line if place in self.place_of else None
        return tuple(dict.fromkeys([*([own] if own else []), *found]))

    @cached_property
    def line_words(self) -> dict[tuple[str, ...], tuple[str, ...]]:
        """Every way a line may be said → the lines it may mean."""
        out: dict[tuple[str, ...], tuple[str, ...]] = {}

        def add(words: tuple[str, ...], name: str) -> None:
            if words and name not in out.get(words, ()):
                out[words] = (*out.get(words, ()), name)

        for line in self.lines:
            for alias in (line.name, *line.aka, *([line.species] if line.species else [])):
                words = spoken(alias)
                add(words, line.name)
                add((*words[:-1], words[-1] + "s"), line.name)
                add(("".join(words),), line.name)
                if words[-1].endswith("i"):
                    add((*words[:-1], words[-1] + "es"), line.name)  # "killies"
                if words[-1].endswith("y"):
                    add((*words[:-1], words[-1][:-1] + "ies"), line.name)
                if len(words) > 1:
                    for n in range(1, len(words)):
                        if alias != line.species:
                            add(words[:n], line.name) if words[n - 1] not in PLAIN else None
                            add(words[n:], line.name) if words[n] not in PLAIN else None
                        elif words[-1] not in PLAIN:
                            add(words[-1:], line.name)
                    initials = "".join(w[0] for w in words)
                    if len(initials) >= 2 and alias == line.name:
                        add((initials,), line.name)
        for words in list(out):
            last = words[-1]
            if len(last) > 2 and not last.endswith("s"):
                for plural in (last + "s", last[:-1] + "ies" if last.endswith("y") else last + "s"):
                    for name in out[words]:
                        add((*words[:-1], plural), name)
        for family, genera in FAMILIES.items():
            its = [x.name for x in self.lines if x.species and x.species.split()[0].lower() in genera.split()]
            for said in FAMILY_WORDS[family]:
                if spoken(said) not in out:
                    for name in its:
                        add(spoken(said), name)
        for word, means in self.words.items():
            if any(x.name == means for x in self.lines):
                out[spoken(word)] = (means,)
        return out

    @cached_property
    def line_starts(self) -> frozenset[str]:
        """The first words of all these ways."""
        return frozenset(words[0] for words in self.line_words)

    @cached_property
    def line_sounds(self) -> list[tuple[str, str, tuple[str, ...]]]:
        """Sound, joined letters, and the lines meant."""
        joined = [("".join(w), meant) for w, meant in self.line_words.items()]
        return [(sound(letters), letters, meant) for letters, meant in joined if len(letters) >= 4]

    @cached_property
    def spoken_names(self) -> list[tuple[str, str, str]]:
        """The long names of lines and the words of them, with their sound and the line."""
        every = [(name, line.name) for line in self.lines for name in (line.name, *line.name.split(), *line.aka)]
        return [(name, sound(name), line) for name, line in every if len(name) >= 6 and name not in PLAIN]

    def sounds_of_about(self, length: int) -> list[tuple[str, str, tuple[str, ...]]]:
        """Those of `line_sounds` whose sound is as long, or one longer or shorter."""
        if length not in self._by_length:
            self._by_length[length] = [its for its in self.line_sounds if abs(len(its[0]) - length) <= 1]
        return self._by_length[length]

    @cached_property
    def _by_length(self) -> dict[int, list[tuple[str, str, tuple[str, ...]]]]:
        return {}

    @cached_property
    def known(self) -> frozenset[str]:
        """Every single word of the room's own names, which spelling must leave alone."""
        words: set[str] = set()
        for phrase in (*self.line_words, *self.whole):
            words.update(phrase)
        for culture in self.cultures:
            words.update(spoken(culture))
        for person in self.people:
            words.update(spoken(person))
        words.update(w for w in self.head_words if len(w) > 1)
        words.update(w for name in self._split for w in spoken(name))
        return frozenset(words)

    @cached_property
    def line_prefix(self) -> dict[str, tuple[str, ...]]:
        """First words of names by which a cut-short word ("gard") may be known."""
        out: dict[str, tuple[str, ...]] = {}
        for words, meant in self.line_words.items():
            if len(words) == 1 and len(words[0]) >= 5:
                out[words[0]] = meant
        return out

    def line_like(self, words: tuple[str, ...]) -> tuple[str, ...]:
        """The lines a stretch of words names: exactly, cut short, misspelt or misheard; () when none is near.

        More than one line back means the words fit several and only the rest of the note can tell.
        """
        if (found := self._memo.get(words)) is not None:
            return found
        from bot.language.text.likeness import line_like  # it takes these names apart

        return line_like(self, words)

    @cached_property
    def _memo(self) -> dict[tuple[str, ...], tuple[str, ...]]:
        return {}

    @cached_property
    def culture_ids(self) -> dict[str, dict[str, str]]:
        """A culture's word ("microworm") → its number or "" → canonical name."""
        out: dict[str, dict[str, str]] = {}
        for name in self.cultures:
            words = spoken(name)
            head, ident = (" ".join(words[:-1]), words[-1]) if words and words[-1].isdigit() else (" ".join(words), "")
            out.setdefault(head, {})[ident] = name
        return out

    @cached_property
    def person_words(self) -> dict[tuple[str, ...], str]:
        return {spoken(p): p for p in self.people}


def spoken(name: str) -> tuple[str, ...]:
    """A name as the words a reader meets."""
    return tuple(re.findall(r"\d+|[^\W\d_]+", name.lower()))


def _as_written(name: str) -> tuple[str, ...]:
    """The same with its hyphens, as the reader cuts them: “grow-out” is three."""
    return tuple(token.word for token in tokens_of(name))
