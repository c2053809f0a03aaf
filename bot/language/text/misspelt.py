"""Words as they were meant: mended where a slip or two is in them, or where they stand as they sound."""

# ruff: noqa: E501, SIM905  (tables of words are read as tables)

from __future__ import annotations

from functools import lru_cache

from bot.language.text.apart import ratio, slips
from bot.language.text.everyday import is_everyday
from bot.language.text.figures import ORDINALS
from bot.language.text.sounds import alike, phones, sound
from bot.language.text.thumbs import MENDABLE, SHORT
from bot.language.text.vocabulary import DOMAIN, LEXICON
from bot.language.times.days import WEEKDAYS

_MENDABLE = sorted({p[0] for p in LEXICON if len(p) == 1 and len(p[0]) >= 4 and p[0].isalpha()} - {"legs", "fried", "pete", "heels", "meant", "teens", "pops", "gems", "tots", "nippers", "tinies", "floating", "loose", "stiff", *SHORT} | {
    "tanks", "tank", "tubs", "please", "yesterday", "tomorrow", "today", "morning", "tonight", "quarantine", "because", "twelve", "seven", "eleven", "eight", "thirty", "fourteen",
    "fifteen", "thursday", "wednesday", "tuesday", "saturday", "monday", "friday", "sunday", "weekend", "everything", "percent", "should", "others", "ready",
    *MENDABLE, "another", "about", "collecting", "collect", "back", "forgot", "again", "already", "before", "after", "there", "their", "with", "from", "graph", "chart", "history", "list", "hatchrate",
})  # fmt: skip


_BY_LETTER: dict[str, list[str]] = {}
for _word in _MENDABLE:
    _BY_LETTER.setdefault(_word[0], []).append(_word)


_BY_SOUND: dict[str, list[str]] = {}
for _word in _MENDABLE:
    if len(_word) > 5:
        _BY_SOUND.setdefault(phones(_word), []).append(_word)


def _bones(word: str) -> str:
    """The consonants of a word, repeats once, as hurried thumbs write it."""
    bare = "".join(c for c in word if c not in "aeiouy")
    return "".join(c for n, c in enumerate(bare) if not n or bare[n - 1] != c)


# Words that are written without their vowels; a skeleton that fits two of them is left as it stands.
_BONES: dict[str, list[str]] = {}
for _word in """
how many much what where when should could would have left from with month water changed pulled flake flakes frozen hatched moved counted found filter
some back sponge large small more need next tomorrow tonight please female male young powder pulling sold bought hold drop drops bloodworms cleaned
heater temperature tested thermometer medaka everything removed squeezed bagged culture harvested crashed started quarantine percent half third
quarter morning evening lunch breakfast dinner white fungus fungused clear eyed collected topped treated salt peroxide change changes check lights
""".split():
    if _word[0] not in "aeiou":
        _BONES.setdefault(_bones(_word), []).append(_word)


# What fish of other sorts are called: never a slip for a trade word, whether the room keeps them or not.
_FISH = frozenset(
    """cory corys cories corydoras guppy guppies platy platies molly mollies tetra tetras barb barbs danio danios loach
    loaches betta bettas cichlid cichlids gourami gouramis pleco plecos snail snails""".split()
)


@lru_cache(maxsize=4096)
def mended(word: str, known: frozenset[str] = frozenset()) -> str:
    """The word as it was probably meant: itself when known, else the one trade word a slip or two away."""
    if word in SHORT:
        return SHORT[word]
    if word in _FISH or word in ORDINALS:
        return word
    if (
        len(word) == 3
        and word not in DOMAIN
        and word not in WEEKDAYS
        and word not in known
        and word.isalpha()
        and not set(word) & set("aeiouy")
        and not is_everyday(word)
    ):
        found = _BONES.get(_bones(word), ())
        return found[0] if len(found) == 1 else word
    if len(word) < 4 or word in DOMAIN or word in WEEKDAYS or word in known or not word.isalpha() or is_everyday(word):
        return word
    if any(name.startswith(word) for name in known):
        return word  # a name cut short
    if len(word) < 8 and not set(word) & set("aeiouy") and len(_BONES.get(_bones(word), ())) == 1:
        return _BONES[_bones(word)][0]
    allowed = 1 if len(word) < 7 else 2
    if len(word) == 6:
        bones = sorted(c for c in word if c not in "aeiou")
        close = [
            w
            for w in _BY_LETTER.get(word[0], ())
            if abs(len(w) - 6) <= 2 and sorted(c for c in w if c not in "aeiou") == bones and slips(word, w) <= 2
        ]
        if len(close) == 1:
            return close[0]
    best: list[tuple[int, str]] = []
    heard = sound(word) if len(word) == 7 else ""
    for other in _near_in_form(word, allowed):
        apart = slips(word, other, allowed)
        if apart <= allowed and not (apart == 2 and heard and sound(other) != heard):
            best.append((apart, other))
    if not best:
        return _same_sound(word) or _same_bones(word)
    best.sort(key=lambda pair: (pair[0], not pair[1].startswith(word), pair[1]))
    if len(best) > 1 and best[0][1].startswith(word) and not best[1][1].startswith(word):
        return best[0][1]
    if len(best) > 1 and best[0][0] == best[1][0] and not _akin(best[0][1], best[1][1]):
        return word
    return best[0][1]


def _same_sound(word: str) -> str:
    """The one trade word that sounds just like a word of five letters or more: "dafnia"."""
    near = [w for w in _BY_SOUND.get(phones(word), ()) if slips(word, w, 2) <= 2]
    return near[0] if len(word) > 4 and near and all(_akin(near[0], w) for w in near[1:]) else ""


def _same_bones(word: str) -> str:
    """A word of five or six letters with two slips, where its consonants are those of just one trade word: "moovd"."""
    if len(word) not in (5, 6):
        return word
    bones = _bones(word)
    near = [
        w for w in _BY_LETTER.get(word[0], ()) if len(w) > 4 and slips(word, w, 2) <= 2 and _within(bones, _bones(w))
    ]
    return near[0] if near and all(_akin(near[0], w) for w in near[1:]) else word


def _within(short: str, whole: str) -> bool:
    """Whether letters stand in another word in their order, one of them left out at most."""
    rest = iter(whole)
    return len(whole) - len(short) in (0, 1) and all(letter in rest for letter in short)


def _near_in_form(word: str, allowed: int) -> list[str]:
    """The mendable words about as long that begin alike, or with the first two letters swapped."""
    alike_first = [w for w in _BY_LETTER.get(word[0], ()) if abs(len(w) - len(word)) <= allowed]
    swapped = [w for w in _BY_LETTER.get(word[1], ()) if w[1] == word[0] and abs(len(w) - len(word)) <= allowed]
    return alike_first + swapped if word[0] != word[1] else alike_first


def _akin(a: str, b: str) -> bool:
    """Whether two words say the same (forms of one entry)."""
    return bool(set(LEXICON.get((a,), [])) & set(LEXICON.get((b,), [])))


_SOUNDING: dict[str, list[str]] = {}
for _word in sorted({p[0] for p in LEXICON if len(p) == 1 and len(p[0]) >= 6 and p[0].isalpha()}):
    _SOUNDING.setdefault(sound(_word), []).append(_word)


_LONG = [w for ws in _SOUNDING.values() for w in ws if len(w) >= 8]


@lru_cache(maxsize=4096)
def misheard(joined: str) -> str | None:
    """The one trade word that several words run together sound like ("daphne ya"), if any."""
    near = [
        (ratio(joined, w), w)
        for w in _SOUNDING.get(sound(joined), ())
        if ratio(joined, w) >= 70 or (ratio(joined, w) >= 60 and alike(joined, w) >= 0.85)
    ]
    if not near and len(joined) >= 9:
        near = [(score, w) for w in _LONG if (score := ratio(joined, w, least=88)) >= 88]
    return max(near)[1] if near else None
