"""The net that says of each tag of a note which kind of event it is part of, and as what.

The pieces of the note's words are read by a few layers (see `attention`); each tag then gets a chance for every label,
and the whole note one for every kind of event and for what it may ask about. A label is "kind|role" ("pull|count"), or
"O" (said of nothing logged), "Q" (asked), "A" (to be asked about), "remark".

`weights.npz` and `words.npz` beside this file are made by `python -m tests.language.learn_reader`. The layers started
from those of all-MiniLM-L6-v2, and the vectors in `words.npz` are its own (Apache License 2.0, words.LICENSE). Only
numpy is needed here, and only once asked.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from bot.language.learnt.attention import HEADS, Broad, Layer, Level, Line
from bot.language.learnt.signs import known_signs, pieces_of, said_as
from bot.language.tags import Tag

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

WEIGHTS = Path(__file__).with_name("weights.npz")
WORDS = Path(__file__).with_name("words.npz")
TOP = 3
OPENS, CLOSES, UNKNOWN = "[CLS]", "[SEP]", "[UNK]"  # pieces before and after a note, and for a word without any


class Guess(NamedTuple):
    """A label and its chance."""

    label: str
    chance: float


@dataclass(frozen=True, slots=True)
class Told:
    """For each tag its likeliest labels, best first; for the note the chance of each kind and outcome, and of each
    thing it may ask about ("" for nothing)."""

    guesses: tuple[tuple[Guess, ...], ...]
    chances: Mapping[str, float]
    abouts: Mapping[str, float] = field(default_factory=dict)

    @property
    def best(self) -> tuple[Guess, ...]:
        """The likeliest label of each tag."""
        return tuple(guesses[0] for guesses in self.guesses)


class Net:
    """The net as learnt."""

    def __init__(self, weights: Mapping[str, NDArray[np.generic]], words: Mapping[str, NDArray[np.generic]]) -> None:
        import numpy as np

        def floats(name: str) -> Floats:
            kept = np.ascontiguousarray(weights[name], np.float32)  # row by row, as it is multiplied
            return kept * weights[f"{name}_scale"].astype(np.float32) if f"{name}_scale" in weights else kept

        def line(name: str) -> Line:
            return Line(floats(name), floats(f"{name}_bias"))

        def broad(name: str) -> Broad:
            return Broad.made_of(line(name), self.positions.shape[1] // HEADS)

        def level(name: str) -> Level:
            return Level(floats(name), floats(f"{name}_bias"))

        self.labels_known = listed(weights["labels"])
        self.note_labels = listed(weights["note_labels"])
        self.about_labels = listed(weights["about_labels"])
        self.signs = {sign: n for n, sign in enumerate(listed(weights["signs"]), 1)}  # 0 is no sign at all
        self.pieces = {piece: n for n, piece in enumerate(listed(words["pieces"]))}
        self.vectors, self.scale = words["vectors"], words["scale"].astype(np.float32)
        self.positions, self.of_sign, self.signs_read = floats("positions"), floats("of_sign"), line("signs_read")
        self.level = level("level")
        self.layers = [
            Layer(
                broad(f"looking{n}"),
                broad(f"seen{n}"),
                level(f"seen_level{n}"),
                broad(f"up{n}"),
                broad(f"down{n}"),
                level(f"level{n}"),
            )
            for n in range(sum(name.startswith("looking") and name[7:].isdigit() for name in weights))
        ]
        self.of_tag, self.of_note, self.of_about = line("of_tag"), line("of_note"), line("of_about")

    @staticmethod
    def load() -> Net:
        """The net of this house, read from its files once."""
        return _loaded()

    def labels(self, tags: Sequence[Tag], more: Sequence[Sequence[str]] = ()) -> Told:
        """What each tag is said of, and the note as a whole; `more` signs of each tag may be shown, too."""
        if not tags:
            return Told((), {})
        of_tags, of_note, of_about = self.chances(tags, more)
        best = (-of_tags).argsort(axis=1)[:, :TOP]
        likely = of_tags[[[n] for n in range(len(tags))], best]
        known = self.labels_known
        guesses = (
            tuple(Guess(known[n], chance) for n, chance in zip(*row, strict=True))
            for row in zip(best.tolist(), likely.tolist(), strict=True)
        )
        return Told(
            tuple(guesses),
            dict(zip(self.note_labels, of_note.tolist(), strict=True)),
            dict(zip(self.about_labels, of_about.tolist(), strict=True)),
        )

    def chances(self, tags: Sequence[Tag], more: Sequence[Sequence[str]] = ()) -> tuple[Floats, Floats, Floats]:
        """The chance of every label for each tag, of every label of notes, and of everything that may be asked about.

        A note longer than the net has positions for is read as far as they go.
        """
        import numpy as np

        pieces, owners = self._pieces(tags)
        signs = _summed(
            self.of_sign,
            [known_signs(*shown, self.signs) for shown in zip(tags, more or [()] * len(tags), strict=True)],
        )
        read = self.vectors[pieces].astype(np.float32) * self.scale
        read[1:-1] += self.signs_read.of(signs)[owners]
        read = self.level.of(read + self.positions[: len(read)])
        for layer in self.layers:
            read = layer.read(read)
        of_tags = np.zeros((len(tags), read.shape[1]), np.float32)
        np.add.at(of_tags, owners, read[1:-1])
        of_tags /= np.maximum(1, np.bincount(owners, minlength=len(tags)))[:, None].astype(np.float32)
        whole = np.concatenate((read.mean(axis=0), read.max(axis=0)))[None]
        of_note = 1 / (1 + np.exp(-self.of_note.of(whole)[0]))
        return (
            _shares(self.of_tag.of(np.concatenate((of_tags, signs), axis=1))),
            of_note,
            _shares(self.of_about.of(whole))[0],
        )

    def _pieces(self, tags: Sequence[Tag]) -> tuple[list[int], list[int]]:
        """The pieces of a note with what opens and closes it, and for each of its own the tag it belongs to."""
        pieces, owners = [self.pieces[OPENS]], []
        for at, tag in enumerate(tags):
            found = pieces_of(said_as(tag), self.pieces) or [self.pieces[UNKNOWN]]
            pieces += found
            owners += [at] * len(found)
        most = len(self.positions) - 1
        pieces = pieces[:most]
        return [*pieces, self.pieces[CLOSES]], owners[: len(pieces) - 1]


@lru_cache(maxsize=1)
def _loaded() -> Net:
    import numpy as np

    with np.load(WEIGHTS) as weights, np.load(WORDS) as words:
        return Net(dict(weights), words)


def listed(packed: NDArray[np.generic]) -> tuple[str, ...]:
    """A list of words kept as the bytes of its JSON."""
    return tuple(json.loads(packed.tobytes()))


def _shares(sums: Floats) -> Floats:
    import numpy as np

    powers = np.exp(sums - sums.max(axis=1, keepdims=True))
    shares: Floats = powers / powers.sum(axis=1, keepdims=True)
    return shares


def _summed(table: Floats, rows: Sequence[Sequence[int]]) -> Floats:
    """For each list of rows of a table their sum; row 0 is nothing and stands before each, that none is empty."""
    import numpy as np

    flat = [n for row in rows for n in (0, *row)]
    starts = np.cumsum([0, *(len(row) + 1 for row in rows[:-1])])
    return np.add.reduceat(table[flat], starts, axis=0)
