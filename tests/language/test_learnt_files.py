"""Weights taken up to learn on are those that were written."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from bot.language.learnt.net import WEIGHTS, listed
from tests.language.learnt_files import Floats, taken_up, write_weights

WIDTH, LAYERS = 384, 6


def _blank(labels: dict[str, tuple[str, ...]]) -> dict[str, Floats]:
    """As much of the state of a new student as is looked at before the weights are taken up."""
    kinds = "model.embeddings.token_type_embeddings.weight"
    state: dict[str, Floats] = {kinds: np.zeros((2, WIDTH), np.float32)}
    state |= {f"model.encoder.layer.{n}.output.dense.bias": np.zeros(WIDTH, np.float32) for n in range(LAYERS)}
    for called, known in zip(("tag", "note", "about"), labels.values(), strict=True):
        with np.load(WEIGHTS) as kept:
            state[f"{called}.weight"] = np.zeros((len(known), len(kept[f"of_{called}"])), np.float32)
    return state


def test_weights_taken_up_and_written_again_are_the_same(tmp_path: Path) -> None:
    with np.load(WEIGHTS) as found:
        kept = dict(found)
    labels = {name: listed(kept[name]) for name in ("labels", "note_labels", "about_labels")}
    signs = listed(kept["signs"])
    state = taken_up(WEIGHTS, _blank(labels), **labels, signs=signs)
    write_weights(tmp_path / "weights.npz", state, **labels, signs=signs)
    with np.load(tmp_path / "weights.npz") as again:
        assert {name for name in kept if not np.array_equal(kept[name], again[name])} == set()
        assert set(again) == set(kept)


def test_what_the_weights_do_not_know_of_is_added() -> None:
    with np.load(WEIGHTS) as kept:
        labels = {name: listed(kept[name]) for name in ("labels", "note_labels", "about_labels")}
        signs, unlikeliest = listed(kept["signs"]), kept["of_tag_bias"].min()
    more = {**labels, "labels": ("never.told|place", *labels["labels"])}
    state = taken_up(WEIGHTS, _blank(more), **more, signs=("w=neversaid", *signs))
    assert state["tag.bias"][0] == unlikeliest
    assert not state["signs.weight"][1].any()
    assert state["signs.weight"][2].any()
