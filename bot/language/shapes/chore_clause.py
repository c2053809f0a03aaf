"""A short clause as its shape: its words in order, what the tags name in capitals, articles, days and hours left out.

PLACE, NUM, PCT, VOL, AMT, DEG, FOOD, CULTURE, SUBST, ITEM, QUANT and GROUP stand for what the tags name.
"""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

from dataclasses import dataclass

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.tending.cultures import cultures

_LEFT_OUT = frozenset("the a an my our its their some i we just now again please pls both this that is was were have has been".split())  # noqa: SIM905  # fmt: skip
_KINDS = {"num": "NUM", "pct": "PCT", "frac": "PCT", "vol": "VOL", "amount": "AMT", "deg": "DEG", "culture": "CULTURE", "dur": "DUR", "times": "TIMES", "batch": "BATCH", "line": "LINE"}  # fmt: skip
_SORTS = {"food": "FOOD", "substance": "SUBST", "item": "ITEM", "quantity": "QUANT", "group": "GROUP"}


@dataclass(frozen=True)
class Shaped:
    """A clause whose shape is known, with its tags by what they are."""

    group: Group
    teller: Teller
    tags: dict[str, list[Tag]]

    def places(self) -> list[str]:
        """The places named, in order; a bare number is one where just one place bears it."""
        out: list[str] = []
        for tag in self.group.tags:
            if tag in self.tags.get("PLACE", ()):
                out += tag.value
            elif tag in self.tags.get("NUM", ()) and (place := self.group.place_id(tag)):
                tag.claimed = "place"
                out.append(place)
            elif tag in self.tags.get("GROUP", ()):
                out.append(min(tag.senses["group"]))
            elif tag.word == "all":
                out.append("all")
        return list(dict.fromkeys(out))

    def cultures(self) -> list[str]:
        return cultures([*self.tags.get("CULTURE", ()), *self.tags.get("FOOD", ())], self.teller)

    def tell(self, kind: str, **keys: object) -> None:
        self.teller.tell(kind, self.group, **keys)["_whole"] = True


def shape_of(part: Part) -> tuple[str, dict[str, list[Tag]]]:
    """The shape of a clause, and its tags by what they are; an unknown place has no shape."""
    words: list[str] = []
    its: dict[str, list[Tag]] = {}
    for tag in part.tags:
        name = _KINDS.get(tag.kind, "")
        if tag.kind == "place":
            name = "PLACE" if tag.value else "?"
        elif tag.word == "green water":
            name = ""
        elif tag.kind == "lex":
            name = next((n for sort, n in _SORTS.items() if tag.says(sort) and not tag.says("cue")), "")
        if tag.kind == "day" and tag.word.startswith("on "):
            words.append("on")  # "brine on sat am"
        if (tag.kind in ("day", "clock") and tag.note != "quoted") or (not name and tag.word in _LEFT_OUT):
            continue
        if tag.note in ("quoted", "muted") or tag.claimed:
            return "", {}
        words.append(name or tag.word)
        if name:
            its.setdefault(name, []).append(tag)
    return " ".join(words), its
