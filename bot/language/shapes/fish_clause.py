"""A clause of eggs or fish as its words in order: places, numbers, fish and eggs by name, verbs by their family."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from dataclasses import dataclass

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import MOST, Teller
from bot.language.text.figures import UNITS

_LEFT_OUT = frozenset(
    "the a an my our its their his her some i we they it just now again please that this those these was were is are has have had been be "  # noqa: SIM905
    "i've we've they're it's there's theres there about of there also so then and & straight freshly quite big bigger biggest little small smaller tiny old poor young new nice good lovely "
    "smallest largest tiniest youngest fattest weakest strongest prettiest finest overnight finally only all three s 's".split()
)
_KINDS = {"num": "NUM", "place": "PLACE", "batch": "BATCH", "line": "LINE", "money": "MONEY", "len": "LEN", "person": "PERSON", "dur": "DUR"}  # fmt: skip
_NOUNS = (("mop", "MOP"), ("eggs", "EGGS"), ("fry", "FRY"), ("juveniles", "YOUNG"), ("adults", "FISH"), ("fish", "FISH"), ("pair", "PAIR"), ("trio", "TRIO"), ("male", "SEX"), ("female", "SEX"), ("peat", "PEAT"), ("bag", "BAG"))  # fmt: skip
_CUES = (("dead", "DIED"), ("lost", "DIED"), ("hatch", "HATCHED"), ("bad", "BAD"), ("bad_weak", "BAD"), ("pull", "PULLED"), ("move", "MOVED"), ("put", "MOVED"), ("count", "COUNTED"), ("wet", "WET"), ("sold", "SOLD"), ("hold", "HELD"), ("release", "FREED"), ("bought", "BOUGHT"))  # fmt: skip
_GIVES = frozenset(
    ["coughed up", "yielded", "produced", "handed over", "came up with", "came through with", "delivered", "served up"]
) | frozenset(["surrendered", "spat out"])  # what a tank does with its eggs
# What fry do that are out of the egg; what stands before the place they do it in says nothing.
_SWIMS = frozenset(
    "swimming zooming whizzing wriggling wiggling darting bouncing cruising paddling buzzing flitting dashing hopping jiggling "  # noqa: SIM905
    "zipping skittering scooting milling drifting hovering floating tearing racing flicking twitching bobbing".split()
)
_PLAIN = frozenset(
    ["gave", "got", "left", "down to", "had", "gives", "ate", "laid", "eaten", "caught"]
)  # told apart by their word


_CRIES = frozenset(
    ["omg", "wow", "yay", "hooray", "hurrah", "woohoo", "yippee", "oh", "ooh", "aww", "eek", "gosh", "look", "hey",
     "yes", "ok", "okay", "well", "so", "right"]
)  # fmt: skip
_DRAWN_OUT = re.compile(r"(.)\1\1")


@dataclass
class Told:
    """A clause whose shape is known, with its tags by name in the order said."""

    group: Group
    teller: Teller
    named: list[tuple[str, Tag]]

    def tags(self, *names: str) -> list[Tag]:
        return [t for n, t in self.named if n in names]

    def spot(self, tag: Tag) -> dict[str, str] | None:
        """The place or batch of a tag; None where it is not just one."""
        if tag.kind == "batch":
            return {"batch": str(tag.value)} if tag.value else None
        if tag.kind == "place":
            return {"place": tag.value[0]} if len(tag.value) == 1 else None
        if tag.kind == "lex":
            its = self.teller.names.with_role("quarantine")
            return {"place": its[0]} if len(its) == 1 else None
        place = self.group.place_id(tag)
        if place is not None:
            tag.claimed = "place"
        return {"place": place} if place else None

    def home(self, spot: dict[str, str]) -> str:
        batch = self.teller.names.batch_of.get(spot.get("batch", ""))
        return batch.place if batch else spot.get("place", "")

    def role(self, spot: dict[str, str]) -> str:
        its = self.teller.names.place_of.get(self.home(spot))
        return (its.role or "") if its else "peat" if "batch" in spot else ""

    def number(self, tag: Tag, kind: str) -> int | None:
        if tag.note == "idle":
            return UNITS[tag.word]
        if tag.low is not None or tag.value != int(tag.value) or not 0 <= tag.value <= MOST.get(kind, 3000):
            return None
        tag.claimed = tag.claimed or "pairs"
        return int(tag.value)

    def line(self) -> dict[str, str]:
        lines = {str(t.value[0]) for t in self.tags("LINE") if len(t.value) == 1}
        return {"line": lines.pop()} if len(lines) == 1 else {}

    def sex(self) -> str | None:
        said = {"male" if t.says("noun", "male") else "female" for t in self.tags("SEX")}
        return said.pop() if len(said) == 1 else None

    def one(self) -> bool:
        """Whether a single fish is spoken of: a male, a fry."""
        its = self.tags("SEX", "LINE", "FISH", "FRY", "YOUNG")
        return bool(its) and not any(
            t.word.endswith("s") or t.word == "fish" for t in self.tags("SEX", "FISH", "YOUNG")
        )

    def tell(self, kind: str, **keys: object) -> bool:
        self.teller.tell(kind, self.group, **keys)["_whole"] = True
        return True


def _name(tag: Tag) -> str:
    if tag.kind == "place":
        return "PLACE" if tag.value else "?"
    if tag.kind in _KINDS:
        return _KINDS[tag.kind]
    if tag.note == "idle" and tag.word in UNITS:
        return "NUM"
    if tag.word in _SWIMS:
        return "SWIM"
    if tag.word in _PLAIN or tag.kind != "lex":
        return ""
    if tag.word == "none" and tag.says("noun", "eggs"):
        return "NONE"  # not a single egg
    if tag.word == "new fry":
        return "FRY"
    if tag.says("cue", "gave") and tag.word in _GIVES:
        return "GAVE"
    if tag.word in ("one", "ones"):
        return "FISH"
    if tag.says("role", "quarantine"):
        return "PLACE"
    if tag.says("group", "all fry") and tag.word.startswith("the "):
        return "FRY"
    cues, nouns = tag.senses.get("cue", ()), tag.senses.get("noun", ())
    named = next((n for cue, n in _CUES if cue in cues), "") if cues else ""
    return named or (next((n for noun, n in _NOUNS if noun in nouns), "") if nouns else "")


def shape_of(part: Part, denied: bool) -> tuple[str, list[tuple[str, Tag]]]:
    words: list[str] = []
    named: list[tuple[str, Tag]] = []
    for tag in part.tags:
        if tag.note == "quoted" or (tag.note == "muted" and not denied) or tag.claimed:
            return "", []
        name = _name(tag)
        if not words and not name and tag.word.isalpha() and (tag.word in _CRIES or _DRAWN_OUT.search(tag.word)):
            continue  # "EEEE the first …", "wow, 40 …"
        if tag.kind in ("day", "clock") or (not name and (tag.word in _LEFT_OUT or tag.kind == "punct")):
            continue
        words.append("gave" if name == "GAVE" else name or tag.word)
        if name:
            named.append((name, tag))
    return " ".join(words), named
