"""The net that says of each tag of a note which kind of event it is part of, and as what.

Two layers read the tags from both ends at once (gated recurrent units, Cho et al. 2014, arXiv:1406.1078); each tag then
gets a chance for every label, and the whole note one for every kind of event. A label is "kind|role" ("pull|count"),
or "O" (said of nothing logged), "Q" (asked), "A" (to be asked about), "remark".

`weights.npz` and `words.npz` beside this file are made by `python -m tests.language.learn_reader`. The vectors in
`words.npz` are reduced from all-MiniLM-L6-v2 (Apache License 2.0, words.LICENSE). Only numpy is needed here, and only
once asked.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from bot.language.learnt.signs import known_signs, pieces_of, word_of
from bot.language.tags import Tag

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

WEIGHTS = Path(__file__).with_name("weights.npz")
WORDS = Path(__file__).with_name("words.npz")
TOP = 3
LAYERS = 2


class Guess(NamedTuple):
    """A label and its chance."""

    label: str
    chance: float


@dataclass(frozen=True, slots=True)
class Told:
    """For each tag its likeliest labels, best first, and the chance of each kind and outcome for the whole note."""

    guesses: tuple[tuple[Guess, ...], ...]
    chances: Mapping[str, float]

    @property
    def best(self) -> tuple[Guess, ...]:
        """The likeliest label of each tag."""
        return tuple(guesses[0] for guesses in self.guesses)


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer: (3, 2, in, h) for what comes in, (3, 2, h, h) for what was kept so far; both directions side by side.

    The three parts are reset, update and new. Those of reset and update are halved, as is what was kept in the part of
    new: a logistic curve is half a hyperbolic tangent of half its argument, so that one tangent serves both gates.
    """

    coming: Floats
    coming_bias: Floats
    kept: Floats
    kept_bias: Floats

    def read(self, x: Floats) -> Floats:
        """What each step knows of all before it and all after it: (steps, in) becomes (steps, 2h)."""
        import numpy as np

        coming = np.matmul(x, self.coming) + self.coming_bias
        coming[:, 1] = coming[:, 1, ::-1]  # the second direction reads from the end
        by_step = np.ascontiguousarray(coming.transpose(2, 0, 1, 3))[:, :, :, None]
        out = np.zeros((len(x) + 1, *by_step.shape[2:]), np.float32)
        sums = np.empty(by_step.shape[1:], np.float32)
        gates, (reset, update, new), was = sums[:2], sums, out[0]
        for to_gates, to_new, now in zip(by_step[:, :2], by_step[:, 2], out[1:], strict=True):
            np.matmul(was, self.kept, out=sums)
            new += self.kept_bias
            gates += to_gates
            np.tanh(gates, out=gates)
            gates += 1
            new *= reset
            new += to_new
            np.tanh(new, out=new)
            update *= 0.5
            np.subtract(was, new, out=now)
            now *= update
            now += new
            was = now
        read = out[1:, :, 0]
        return np.concatenate((read[:, 0], read[::-1, 1]), axis=1)


class Net:
    """The net as learnt."""

    def __init__(self, weights: Mapping[str, NDArray[np.generic]], words: Mapping[str, NDArray[np.generic]]) -> None:
        import numpy as np

        def floats(name: str) -> Floats:
            return weights[name].astype(np.float32)

        self.labels_known = listed(weights["labels"])
        self.note_labels = listed(weights["note_labels"])
        self.signs = {sign: n for n, sign in enumerate(listed(weights["signs"]), 1)}  # 0 is no sign at all
        self.pieces = {piece: n for n, piece in enumerate(listed(words["pieces"]), 1)}  # 0 is no piece at all
        self.vectors, self.scale = words["vectors"], words["scale"].astype(np.float32)
        self.of_sign, self.of_word, self.of_word_bias = floats("of_sign"), floats("of_word"), floats("of_word_bias")
        self.layers = [
            Layer(*(floats(f"{name}{n}") for name in ("coming", "coming_bias", "kept", "kept_bias")))
            for n in range(LAYERS)
        ]
        self.of_tag, self.of_tag_bias = floats("of_tag"), floats("of_tag_bias")
        self.of_note, self.of_note_bias = floats("of_note"), floats("of_note_bias")

    @staticmethod
    def load() -> Net:
        """The net of this house, read from its files once."""
        return _loaded()

    def labels(self, tags: Sequence[Tag], more: Sequence[Sequence[str]] = ()) -> Told:
        """What each tag is said of, and the note as a whole; `more` signs of each tag may be shown, too."""
        if not tags:
            return Told((), {})
        of_tags, of_note = self.chances(tags, more)
        best = (-of_tags).argsort(axis=1)[:, :TOP]
        likely = of_tags[[[n] for n in range(len(tags))], best]
        known = self.labels_known
        guesses = (
            tuple(Guess(known[n], chance) for n, chance in zip(*row, strict=True))
            for row in zip(best.tolist(), likely.tolist(), strict=True)
        )
        return Told(tuple(guesses), dict(zip(self.note_labels, of_note.tolist(), strict=True)))

    def chances(self, tags: Sequence[Tag], more: Sequence[Sequence[str]] = ()) -> tuple[Floats, Floats]:
        """The chance of every label for each tag, and of every label of notes."""
        import numpy as np

        seen = self._seen(tags, more or [()] * len(tags))
        read = seen
        for layer in self.layers:
            read = layer.read(read)
        sums = np.concatenate((read, seen), axis=1) @ self.of_tag + self.of_tag_bias
        powers = np.exp(sums - sums.max(axis=1, keepdims=True))
        of_note = read.max(axis=0) @ self.of_note + self.of_note_bias
        return powers / powers.sum(axis=1, keepdims=True), 1 / (1 + np.exp(-of_note))

    def _seen(self, tags: Sequence[Tag], more: Sequence[Sequence[str]]) -> Floats:
        """What the net sees of each tag: the middle of its pieces' vectors, seen through a bend, and its signs."""
        import numpy as np

        pieces = [pieces_of(word_of(tag), self.pieces) for tag in tags]
        vectors = _summed(self.vectors, pieces) * self.scale
        vectors /= np.array([[max(1, len(row))] for row in pieces], np.float32)
        signs = _summed(self.of_sign, [known_signs(*shown, self.signs) for shown in zip(tags, more, strict=True)])
        return np.concatenate((np.tanh(vectors @ self.of_word + self.of_word_bias), signs), axis=1)


@lru_cache(maxsize=1)
def _loaded() -> Net:
    import numpy as np

    with np.load(WEIGHTS) as weights, np.load(WORDS) as words:
        return Net(weights, words)


def listed(packed: NDArray[np.generic]) -> tuple[str, ...]:
    """A list of words kept as the bytes of its JSON."""
    return tuple(json.loads(packed.tobytes()))


def _summed(table: NDArray[np.generic], rows: Sequence[Sequence[int]]) -> Floats:
    """For each list of rows of a table their sum; row 0 is nothing and stands before each, that none is empty."""
    import numpy as np

    flat = [n for row in rows for n in (0, *row)]
    starts = np.cumsum([0, *(len(row) + 1 for row in rows[:-1])])
    return np.add.reduceat(table[flat].astype(np.float32), starts, axis=0)
