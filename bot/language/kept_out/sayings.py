"""Sayings and comparisons: their words are the trade's, and they tell nothing of the room."""

# ruff: noqa: E501, SIM905  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.tags import Tag

_TABLE = """
you should have seen | you should see | you should've seen | should have seen | i should think | i must say | would you believe it | would you believe
can you believe it | can you believe | wouldn't you know it | wouldn't you know | believe it or not | eat my hat | if you ask me | if i do say so myself | if i do say so
if he's a whisker | if she's a day | if it's a day | needless to say | goodness knows | heaven knows | what can i say | don't laugh | don't judge me | don't judge | mark my words
dead to the world | dead slow | dead easy | dead certain | dead set | dead right | over my dead body | drop dead gorgeous | half dead | killing me | to die for | dying to | nearly died laughing
water changes everything | feeding frenzy | changes everything | lost count | lost track | lost my mind | lost his mind | lost interest | lost for words | lost in thought | lost cause | lost and found | no love lost | gone mad | gone bananas | gone to bed | gone on about
dose of her own medicine | dose of his own medicine | dose of your own medicine | dose of reality | done in by | done for the day | yard sale | garage sale | bake sale | jumble sale | boot sale | rummage sale | hatched a plan | hatching a plan | moved to tears | moved house | fed up | caught the bus | caught a cold | pulled a muscle | pulled my back
pulled a face | pulling my leg | pull yourself together | put the kettle on | put my feet up | put my slippers on | put it that way | put my foot down | put up with | put my finger on | picked up the phone | pick up the phone
made my day | make my day | white as a sheet | head over heels | eyes peeled | keep an eye | kept an eye | keeping an eye | an eye on | my eyes | his eyes | her eyes | your eyes | my own eyes | half asleep | half expecting | half a mind | half the battle
one of these days | one of those days | at sixes and sevens | a hundred times | a million times | a thousand times | dressed to the nines | on cloud nine | back to square one | number one fan | two left feet | second to none
new tank smell | dead leaves | dead leaf | dead snail | dead snails | dead plant | dead plants | fish out of water | other fish to fry | small fry | drop of a hat | drop in the ocean | walking on eggshells | good egg | is a bad egg | was a bad egg | bit of a bad egg | a real bad egg | egg on my face | all my eggs in one basket | eggs in one basket | chicken and egg | egg him on | salt of the earth | pinch of salt | grain of salt | turn over a new leaf | new leaf
moving on | moving along | get a move on | time to move | water under the bridge | in hot water | watering the | feed the cat | fed the cat | fed the dog | fed the chickens | feed the dog | clean bill of health | come clean | changed my mind | change my mind | white spot | white spots | for a change | makes a change | change of heart
what do i find but | what do i see but | what should i see but | what was i meant to do | what was i supposed to do | what else could i do | what can you do | what would i do without | looking me in the eye | look me in the eye | one by one | one at a time | one after another | two by two | one after the other | paint sale | on the phone | started laughing | started crying | started singing | started shouting | start shouting | start crying | a good start | a bad start | a slow start | a new start | head start | to start with | for starters | has a split | a split in | a split lip
"""
_SAYINGS = sorted({s.strip() for line in _TABLE.strip().split("\n") for s in line.split("|")}, key=len, reverse=True)
_BY_LETTER = {s[0]: [re.escape(other[1:]) for other in _SAYINGS if other[0] == s[0]] for s in _SAYINGS}
# by first letter, so that at a word not all of them are tried
_SAID = re.compile(r"\b(?:" + "|".join(f"{a}(?:{'|'.join(its)})" for a, its in _BY_LETTER.items()) + r")\b")
_NO_SIMILE = frozenset(
    "i you we they would i'd we'd don't doesn't didn't do does to look looks looked feel feels sounds seems something just".split()
)
_PUTS = frozenset(["put", "set", "puts", "putting", "setting", "keep", "keeping", "kept"])
_STANDS = frozenset(["num", "place", "batch", "pct", "amount", "day", "clock", "deg"])
_USUAL = frozenset(["usually", "seem", "seems", "tend", "tends", "generally", "habitually"])


def unsay(tags: list[Tag]) -> None:
    """Take from the words of sayings and comparisons what they would be signs of elsewhere."""
    words: list[str] = []
    owner: list[int] = []
    for n, tag in enumerate(tags):
        for word in tag.word.split() or [""]:
            words.append(word)
            owner.append(n)
    text, starts, at = " ".join(words), [], 0
    for word in words:
        starts.append(at)
        at += len(word) + 1
    for hit in _SAID.finditer(text):
        inside = {owner[i] for i, start in enumerate(starts) if hit.start() <= start < hit.end()}
        for n in inside:
            if tags[n].kind in ("word", "lex", "num", "frac", "line", "culture"):
                tags[n].kind, tags[n].senses, tags[n].value = "word", {}, None
    _by_company(tags)
    _not_one(tags)
    for n, tag in enumerate(tags):
        before = tags[n - 1].word if n else ""
        if tag.word == "like" and n and before not in _NO_SIMILE:
            _mute(tags[n + 1 : n + 6], all_senses=True)
        elif tag.word in _USUAL:
            _mute(tags[n + 1 : n + 4])
        elif tag.word in ("until", "til", "till"):
            for later in tags[n + 1 : n + 7]:
                if later.kind in ("stop", "punct") or later.word in ("and", "but", "so"):
                    break
                if later.says("cue", "hatch", "eyed", "dead", "move", "sold", "laid"):
                    later.note = "muted"  # "ten days until B22 hatches"


def _not_one(tags: list[Tag]) -> None:
    """ "Not a single one from tank 4": none."""
    for n, tag in enumerate(tags):
        if tag.word != "not":
            continue
        m = n + 1
        while m < len(tags) and tags[m].word in ("a", "one", "single", "even", "1"):
            m += 1
        if m > n + 1 and m < len(tags) and tags[m].word in ("from", "off", "in") and tags[m - 1].word in ("one", "1"):
            tag.word, tag.senses = "none", {}
            for idle in tags[n + 1 : m]:
                idle.kind, idle.word, idle.senses, idle.note = "word", "", {}, "idle"


def _by_company(tags: list[Tag]) -> None:
    """Words that the word beside them makes mean another thing: "gave me $60", "the medaka lady", "a drop or two"."""
    for n, tag in enumerate(tags[:-1]):
        if tag.word not in _MINDS_COMPANY and tag.kind != "line":
            continue
        after = tags[n + 1]
        if (
            after.kind == "lex"
            and after.says("unit")
            and not after.says("unit", "leaf")
            and tag.word in _SPOONS
            and n
            and tags[n - 1].word in ("a", "one", "just a", "just one")
        ):
            after.kind, after.value, after.unit = "amount", 1.0, after.one("unit") or ""  # "a whole tablespoon"
        elif tag.word == "another" and after.kind == "lex" and after.says("unit") and not after.says("unit", "leaf"):
            after.kind, after.value, after.unit = "amount", 1.0, after.one("unit") or ""  # "another tablespoon of salt"
        elif tag.word in ("popped", "pop") and (
            after.word in ("them", "those", "it", "em", "him", "her", "all")
            or any(t.says("food") or t.says("item") for t in tags[n + 1 : n + 5])
        ):
            tag.senses = {"cue": frozenset(["put"])}  # "popped them straight in tub B"
        elif tag.word in _PUTS and any(
            t.word in ("aside", "by", "down")
            and m + 1 < len(tags)
            and tags[n + m + 2 : n + m + 3]
            and tags[n + m + 2].word in ("for", "until")
            for m, t in enumerate(tags[n + 1 : n + 7])
        ):
            tag.senses = {"cue": frozenset(["hold"])}  # "put 2 pairs aside for Tom"
        elif tag.word in ("gave me", "gave us") and after.kind == "money":
            tag.senses = {"cue": frozenset(["paid"])}
        elif tag.word in ("gave me", "gave us") and any(t.kind == "place" for t in tags[max(0, n - 2) : n]):
            tag.senses = {"cue": frozenset(["gave"])}  # "tank 3 only gave me 4"
        elif (
            tag.word == "gone" and n and tags[n - 1].word in ("it's", "just", "its") and after.kind in ("num", "clock")
        ):
            tag.senses, after.kind, after.value = {}, "word", None  # "it's gone nine"
        elif tag.kind == "line" and after.word in _LADIES:
            after.kind, after.senses = "lex", {"noun": frozenset(["female"])}
        elif tag.kind == "line" and after.word in _GENTS:
            after.kind, after.senses = "lex", {"noun": frozenset(["male"])}
        elif (
            n
            and tag.word == "or"
            and after.kind in ("num", "amount")
            and (tags[n - 1].says("unit") or tags[n - 1].word in _SPANS or tags[n - 1].kind == "dur")
        ):
            after.kind, after.value, after.senses = "word", None, {}
            if n > 1 and tags[n - 2].word in ("a", "one"):
                tags[n - 2].word, tags[n - 2].kind, tags[n - 2].value = "some", "word", None
        elif tag.word == "or" and n and tags[n - 1].kind == "amount" and after.kind == "num":
            after.kind, after.value, tags[n - 1].low = "word", None, tags[n - 1].value  # "a drop or two"


_SPANS = frozenset(["day", "week", "month", "hour", "minute", "mile", "year", "time"])
_SPOONS = frozenset(
    ["single", "whole", "heaped", "level", "scant", "good", "big", "small", "tiny", "generous", "full", "lone", "mere"]
)
_MINDS_COMPANY = _SPOONS | _PUTS | {"another", "popped", "pop", "gave me", "gave us", "gone", "or"}
_LADIES = frozenset(["lady", "ladies", "lass", "lasses", "mama", "mother", "mum", "mom"])
_GENTS = frozenset(["gent", "gents", "gentleman", "chap", "papa", "father", "dad"])


def _mute(tags: list[Tag], all_senses: bool = False) -> None:
    """Silence what follows, up to what names a place or a figure."""
    for tag in tags:
        if tag.kind in _STANDS or tag.kind in ("stop", "punct") or tag.word in ("and", "but", "so"):
            return
        if tag.says("cue") or (all_senses and tag.senses):
            tag.note = "muted"
