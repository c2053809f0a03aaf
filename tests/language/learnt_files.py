"""Writes what was learnt as the files the net is read from."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
KEPT_AS = np.float16  # of what is small; no chance differs by a thousandth
FINEST = 127


def write_weights(
    file: Path,
    state: Mapping[str, Floats],
    *,
    labels: Sequence[str],
    note_labels: Sequence[str],
    about_labels: Sequence[str],
    signs: Sequence[str],
) -> None:
    """The weights as `bot.language.learnt.net` wants them, from the state of `learn_reader.Student`."""
    kinds = state["model.embeddings.token_type_embeddings.weight"][0]  # every piece is of the first kind
    arrays: dict[str, NDArray[np.generic]] = {
        "positions": (state["model.embeddings.position_embeddings.weight"] + kinds).astype(KEPT_AS),
        "of_sign": state["signs.weight"].astype(KEPT_AS),
        **_line(state, "signs_read", "signs_read"),
        **_level(state, "level", "model.embeddings.LayerNorm"),
        **_line(state, "of_tag", "tag"),
        **_line(state, "of_note", "note"),
        **_line(state, "of_about", "about"),
    }
    for n in range(layers_of(state)):
        its = f"model.encoder.layer.{n}."
        arrays |= _side_by_side(state, f"looking{n}", [f"{its}attention.self.{x}" for x in ("query", "key", "value")])
        arrays |= _line(state, f"seen{n}", f"{its}attention.output.dense")
        arrays |= _level(state, f"seen_level{n}", f"{its}attention.output.LayerNorm")
        arrays |= _line(state, f"up{n}", f"{its}intermediate.dense")
        arrays |= _line(state, f"down{n}", f"{its}output.dense")
        arrays |= _level(state, f"level{n}", f"{its}output.LayerNorm")
    texts = {"labels": labels, "note_labels": note_labels, "about_labels": about_labels, "signs": signs}
    np.savez(file, allow_pickle=False, **arrays, **{name: _listed(text) for name, text in texts.items()})


def layers_of(state: Mapping[str, Floats]) -> int:
    """How many layers a student has."""
    return len({name.split(".")[3] for name in state if name.startswith("model.encoder.layer.")})


def _line(state: Mapping[str, Floats], name: str, called: str) -> dict[str, NDArray[np.generic]]:
    return _side_by_side(state, name, [called])


def _side_by_side(state: Mapping[str, Floats], name: str, called: Sequence[str]) -> dict[str, NDArray[np.generic]]:
    """Weighted sums of one input as one, in whole numbers with a scale for each column."""
    weights = np.concatenate([state[f"{one}.weight"] for one in called]).T
    scale = np.maximum(np.abs(weights).max(axis=0) / FINEST, 1e-12).astype(np.float32)
    return {
        name: np.rint(weights / scale).astype(np.int8),
        f"{name}_scale": scale,
        f"{name}_bias": np.concatenate([state[f"{one}.bias"] for one in called]),
    }


def _level(state: Mapping[str, Floats], name: str, called: str) -> dict[str, NDArray[np.generic]]:
    return {name: state[f"{called}.weight"], f"{name}_bias": state[f"{called}.bias"]}


def write_words(file: Path, vectors: Mapping[str, Floats]) -> None:
    """The vectors of word pieces in whole numbers, with a scale for each dimension."""
    table = np.stack(list(vectors.values()))
    scale = (np.abs(table).max(axis=0) / FINEST).astype(np.float32)
    whole = np.rint(table / scale).astype(np.int8)
    np.savez(file, allow_pickle=False, vectors=whole, scale=scale, pieces=_listed(list(vectors)))


def _listed(text: Sequence[str]) -> NDArray[Any]:
    return np.frombuffer(json.dumps(list(text), ensure_ascii=False).encode(), np.uint8)
