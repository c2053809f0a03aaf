"""What young are called after their parents, and which fish must not share water: the labels a line lives by."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass

from pydantic import BaseModel

from shared.quantities import PRACTICE

WILD, STRAIN, UNKNOWN = "wild", "aquarium strain", "unknown"
STRAY = "unknown"  # the line of fish nobody could put a name to

_WILD = {"wild", "wild caught", "wild-caught", "wc", "w", "f0"}
_STRAIN = {"aquarium strain", "strain", "as", "aquarium", "tank strain", "domestic"}
_UNKNOWN = {"unknown", "?", "", "not known"}


@dataclass(frozen=True)
class Generation:
    """What the young are called: a label, or None with the labels it may be and why only the keeper can say."""

    label: str | None
    options: tuple[str, ...]
    why: str


class Stay(BaseModel):
    """A group of grown or growing fish in one place, from when until when: whoever could have laid eggs there.

    `generation` is what the group was called then; a line's label may change when the next generation takes over.
    """

    group: str
    line: str
    stage: str
    since: dt.datetime
    until: dt.datetime | None = None
    generation: str | None = None

    def during(self, begin: dt.datetime, end: dt.datetime) -> bool:
        """Whether they were there at any time between; leaving at the very beginning does not count."""
        return self.since <= end and (self.until is None or self.until > begin)


def generation_label(text: str | None) -> str | None:
    """One spelling for each label: wild, F1, F2 …, aquarium strain, unknown; other words stay as they are."""
    if text is None:
        return None
    plain = " ".join(text.strip().casefold().split())
    if plain in _WILD:
        return WILD
    if plain in _STRAIN:
        return STRAIN
    if plain in _UNKNOWN:
        return UNKNOWN
    found = re.fullmatch(r"f\s*-?(\d{1,3})", plain)
    return f"F{int(found[1])}" if found else text.strip()


def _countable(label: str) -> bool:
    return label == WILD or re.fullmatch(r"F\d{1,3}", label) is not None


def young_of(labels: Iterable[str | None]) -> Generation:
    """What the young of parents with these labels are called; parents of unlike labels only give the choices.

    Wild give F1, F1 give F2; an aquarium strain stays one (common practice, no source). Keepers count differently
    from unlike parents, and a wrong label stays with a line for ever.
    """
    known = {generation_label(label) or UNKNOWN for label in labels}
    if not known or any(label != STRAIN and not _countable(label) for label in known):
        return Generation(None, (), "The generation of a parent is not known.")
    if known == {STRAIN}:
        return Generation(STRAIN, (STRAIN,), "The young of an aquarium strain are that strain.")
    numbers = sorted(0 if label == WILD else int(label[1:]) for label in known - {STRAIN})
    options = tuple(f"F{number + 1}" for number in numbers)
    if STRAIN in known:
        why = (
            "One parent is of an aquarium strain, the other is not; only the keeper can say what the young are called."
        )
        return Generation(None, (STRAIN, *options), why)
    if len(options) > 1:
        why = "The parents are of different generations; count from either, but say from which."
        return Generation(None, options, why)
    return Generation(options[0], options, f"Wild-caught parents give F1, F1 give F2 ({PRACTICE}).")


def crossing_caution(one: str | None, other: str | None) -> str | None:
    """One sentence against crossing two populations of a species, or None when they are named alike.

    Different populations are never crossed, and an unknown one stays unknown. Common practice, no source.
    """
    if one is not None and other is not None and one.strip().casefold() == other.strip().casefold():
        return None
    if one is None or other is None:
        return "The population of one side is not known: keep the young apart and label them as unknown."
    return f"{one} and {other} are different populations and should not be crossed."


def parents_among(stays: Iterable[Stay], begin: dt.datetime, end: dt.datetime) -> list[Stay]:
    """Whoever shared a place while eggs were laid there: the adults, or the growing fish where no adults stood."""
    there = [stay for stay in stays if stay.during(begin, end)]
    return [s for s in there if s.stage == "adults"] or there
