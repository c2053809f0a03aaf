"""Writes what was learnt as the files the net is read from."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bot.language.learnt.net import LAYERS

Floats = NDArray[np.float32]
KEPT_AS = np.float16  # half the size; no chance differs by a thousandth
FINEST = 127


def write_weights(
    file: Path,
    state: Mapping[str, Floats],
    *,
    labels: Sequence[str],
    note_labels: Sequence[str],
    signs: Sequence[str],
) -> None:
    """The weights as `bot.language.learnt.net` wants them, from the state of `learn_reader.Student`."""
    arrays: dict[str, Floats] = {
        "of_sign": state["signs.weight"],
        "of_word": state["word.weight"].T,
        "of_word_bias": state["word.bias"],
        "of_tag": state["tag.weight"].T,
        "of_tag_bias": state["tag.bias"],
        "of_note": state["note.weight"].T,
        "of_note_bias": state["note.bias"],
    }
    for n in range(LAYERS):
        arrays |= _layer(state, n)
    texts = {"labels": labels, "note_labels": note_labels, "signs": signs}
    np.savez(
        file,
        allow_pickle=False,
        **{name: array.astype(KEPT_AS) for name, array in arrays.items()},
        **{name: _listed(text) for name, text in texts.items()},
    )


def _layer(state: Mapping[str, Floats], n: int) -> dict[str, Floats]:
    """One layer, its three parts before its two directions, and halved where `net.Layer` wants it."""

    def parts(name: str) -> Floats:
        both = np.stack([state[f"read.{name}_l{n}"], state[f"read.{name}_l{n}_reverse"]])
        return both.reshape(2, 3, -1, *both.shape[2:]).swapaxes(0, 1)

    of_gates = np.array([1, 1, 0], np.float32)[:, None, None]
    half = np.array([0.5, 0.5, 1], np.float32)[:, None, None]
    kept_bias = parts("bias_hh")
    return {
        f"coming{n}": parts("weight_ih").swapaxes(2, 3) * half[..., None],
        f"coming_bias{n}": ((parts("bias_ih") + of_gates * kept_bias) * half)[:, :, None],
        f"kept{n}": parts("weight_hh").swapaxes(2, 3) * np.float32(0.5),
        f"kept_bias{n}": kept_bias[2, :, None] * np.float32(0.5),
    }


def write_words(file: Path, vectors: Mapping[str, Floats]) -> None:
    """The vectors of word pieces in whole numbers, with a scale for each dimension; row 0 is no piece at all."""
    pieces = sorted(vectors)
    table = np.stack([vectors[piece] for piece in pieces])
    scale = (np.abs(table).max(axis=0) / FINEST).astype(np.float32)
    whole = np.vstack([np.zeros_like(scale), np.rint(table / scale)]).astype(np.int8)
    np.savez(file, allow_pickle=False, vectors=whole, scale=scale, pieces=_listed(pieces))


def _listed(text: Sequence[str]) -> NDArray[Any]:
    return np.frombuffer(json.dumps(list(text), ensure_ascii=False).encode(), np.uint8)
