"""Writes what was learnt as the files the net is read from, and takes it up again to learn on."""

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
# Parts of a layer as the net calls them and as the student does.
_LOOKING = ("query", "key", "value")
_LINES = {"seen": "attention.output.dense", "up": "intermediate.dense", "down": "output.dense"}
_LEVELS = {"seen_level": "attention.output.LayerNorm", "level": "output.LayerNorm"}


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
        arrays |= _side_by_side(state, f"looking{n}", [f"{its}attention.self.{x}" for x in _LOOKING])
        for name, called in _LINES.items():
            arrays |= _line(state, f"{name}{n}", its + called)
        for name, called in _LEVELS.items():
            arrays |= _level(state, f"{name}{n}", its + called)
    texts = {"labels": labels, "note_labels": note_labels, "about_labels": about_labels, "signs": signs}
    np.savez(file, allow_pickle=False, **arrays, **{name: _listed(text) for name, text in texts.items()})


def taken_up(
    file: Path,
    state: Mapping[str, Floats],
    *,
    labels: Sequence[str],
    note_labels: Sequence[str],
    about_labels: Sequence[str],
    signs: Sequence[str],
) -> dict[str, Floats]:
    """The state of a student who goes on from the weights of a file.

    A sign the file does not know says nothing yet; a label it does not know is as unlikely as its unlikeliest.
    """
    with np.load(file) as found:
        kept: dict[str, Any] = dict(found)
    new = dict(state)
    kinds = state["model.embeddings.token_type_embeddings.weight"][0]
    new["model.embeddings.position_embeddings.weight"] = kept["positions"].astype(np.float32) - kinds
    new |= _read_line(kept, "signs_read", ["signs_read"]) | _read_level(kept, "level", "model.embeddings.LayerNorm")
    for n in range(layers_of(state)):
        its = f"model.encoder.layer.{n}."
        new |= _read_line(kept, f"looking{n}", [f"{its}attention.self.{x}" for x in _LOOKING])
        for name, called in _LINES.items():
            new |= _read_line(kept, f"{name}{n}", [its + called])
        for name, called in _LEVELS.items():
            new |= _read_level(kept, f"{name}{n}", its + called)
    rows = np.array([0, *_rows(signs, _unlisted(kept["signs"])) + 1])  # row 0 is no sign at all
    new["signs.weight"] = kept["of_sign"].astype(np.float32)[rows]
    for called, wanted, known in (
        ("tag", labels, "labels"),
        ("note", note_labels, "note_labels"),
        ("about", about_labels, "about_labels"),
    ):
        rows, line = _rows(wanted, _unlisted(kept[known])), _read_line(kept, f"of_{called}", [called])
        weights, bias = line[f"{called}.weight"], line[f"{called}.bias"]
        new[f"{called}.weight"] = np.where(rows[:, None] < 0, state[f"{called}.weight"], weights[rows])
        new[f"{called}.bias"] = np.where(rows < 0, bias.min(), bias[rows])
    return new


def _rows(wanted: Sequence[str], known: Sequence[str]) -> NDArray[np.intp]:
    """Where each of the words wanted stands among those known; -1 for none."""
    at = {word: n for n, word in enumerate(known)}
    return np.array([at.get(word, -1) for word in wanted], np.intp)


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


def _read_line(kept: Mapping[str, Any], name: str, called: Sequence[str]) -> dict[str, Floats]:
    weights = (kept[name].astype(np.float32) * kept[f"{name}_scale"]).T
    parts = zip(called, np.split(weights, len(called)), np.split(kept[f"{name}_bias"], len(called)), strict=True)
    return {f"{one}.{what}": part for one, *both in parts for what, part in zip(("weight", "bias"), both, strict=True)}


def _read_level(kept: Mapping[str, Any], name: str, called: str) -> dict[str, Floats]:
    return {f"{called}.weight": kept[name], f"{called}.bias": kept[f"{name}_bias"]}


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


def _unlisted(packed: NDArray[Any]) -> list[str]:
    return list(json.loads(packed.tobytes()))
