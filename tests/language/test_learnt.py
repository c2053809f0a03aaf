"""The net of the learnt reader: its sums are those of the textbook, and plain notes are told as they should be."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from bot.language import Names
from bot.language.learnt.net import LAYERS, TOP, Net
from bot.language.learnt.signs import known_signs, pieces_of, signs_of, word_of
from bot.language.tags import Tag, Tagger
from tests.language.judging import card_of
from tests.language.learnt_files import FINEST, Floats, write_weights, write_words

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
NAMES = Names.of(card_of("millrace.json"))
LABELS = ["O", "Q", "pull|count", "pull|place"]
KINDS = ["pull", "none"]
SIGNS = ["k=num", "k=word", "s=cue=pull", "w=eggs", "w=\n"]
PIECES = ["egg", "##s", "pull", "4"]
IN, HIDDEN, DIMENSIONS = 8, 6, 5


def tags_of(text: str) -> list[Tag]:
    return Tagger(NAMES, text, SENT).tags


@pytest.mark.parametrize(
    ("text", "labels"),
    [
        ("pulled 40 eggs from tank 3", {"40": "pull|count", "tank": "pull|place"}),
        ("30% water change on 14", {"30": "water_change|percent", "14": "water_change|place"}),
        ("moved 6 males from 5 to 9", {"6": "move|count", "5": "move|from", "9": "move|to"}),
        ("ph in tank 7 is 6.8", {"ph": "measure|quantity", "tank": "measure|place", "6.8": "measure|value"}),
        ("3 dead in 13, the gardneri", {"3": "death|count", "13": "death|place"}),
        ("what hatches tomorrow?", {"what": "Q", "tomorrow": "Q"}),
        ("the neighbour's car broke down, cost her 300", {"300": "O"}),
    ],
)
def test_plain_notes_are_told_as_they_should_be(text: str, labels: dict[str, str]) -> None:
    tags = tags_of(text)
    told = Net.load().labels(tags)
    heard = {tag.word: guess.label for tag, guess in zip(tags, told.best, strict=True)}
    assert {word: heard[word] for word in labels} == labels
    kinds = {label.split("|")[0] for label in labels.values() if "|" in label}
    assert {kind for kind in kinds if told.chances[kind] > 0.5} == kinds
    for guesses in told.guesses:
        assert len(guesses) == TOP
        assert guesses[0].chance >= guesses[1].chance >= guesses[2].chance > 0


def test_a_note_of_nothing_is_told_nothing() -> None:
    told = Net.load().labels([])
    assert (told.best, told.chances) == ((), {})


def test_it_is_loaded_once() -> None:
    assert Net.load() is Net.load()


@pytest.mark.parametrize(
    ("word", "pieces"),
    [
        ("eggs", ["egg", "##s"]),
        ("Pull 4", ["pull", "4"]),
        ("eggzs", ["egg"]),
        ("ä", []),
        ("", []),
        ("4egg", ["4", "egg"]),
    ],
)
def test_a_word_is_made_of_its_longest_known_pieces(word: str, pieces: list[str]) -> None:
    assert [PIECES[n] for n in pieces_of(word, {piece: n for n, piece in enumerate(PIECES)})] == pieces


def test_the_sums_are_those_of_the_textbook(tmp_path: Path) -> None:
    state, vectors = _state(), _vectors()
    write_weights(tmp_path / "weights.npz", state, labels=LABELS, note_labels=KINDS, signs=SIGNS)
    write_words(tmp_path / "words.npz", vectors)
    with np.load(tmp_path / "weights.npz") as weights, np.load(tmp_path / "words.npz") as words:
        net = Net(weights, words)
    tags = tags_of("pulled 4 eggs\n40 from tank 3, 12 eyed in tub 4. fed 7")
    of_tags, of_note = net.chances(tags)
    wanted_of_tags, wanted_of_note = _by_the_book(state, vectors, tags)
    assert np.abs(of_tags - wanted_of_tags).max() < 2e-3
    assert np.abs(of_note - wanted_of_note).max() < 2e-3
    told = net.labels(tags)
    assert [guess.label for guess in told.best] == [LABELS[n] for n in wanted_of_tags.argmax(axis=1)]
    assert told.chances == pytest.approx(dict(zip(KINDS, wanted_of_note.tolist(), strict=True)), abs=2e-3)


def _state() -> dict[str, Floats]:
    """Weights by chance, as the learning keeps them."""
    chance = np.random.default_rng(7)
    shapes: dict[str, tuple[int, ...]] = {
        "signs.weight": (len(SIGNS) + 1, IN),
        "word.weight": (IN, DIMENSIONS),
        "word.bias": (IN,),
        "tag.weight": (len(LABELS), 2 * HIDDEN + 2 * IN),
        "tag.bias": (len(LABELS),),
        "note.weight": (len(KINDS), 2 * HIDDEN),
        "note.bias": (len(KINDS),),
    }
    for n in range(LAYERS):
        for way in ("", "_reverse"):
            shapes[f"read.weight_ih_l{n}{way}"] = (3 * HIDDEN, 2 * HIDDEN if n else 2 * IN)
            shapes[f"read.weight_hh_l{n}{way}"] = (3 * HIDDEN, HIDDEN)
            shapes[f"read.bias_ih_l{n}{way}"] = shapes[f"read.bias_hh_l{n}{way}"] = (3 * HIDDEN,)
    state = {name: chance.normal(0, 0.8, shape).astype(np.float32) for name, shape in shapes.items()}
    state["signs.weight"][0] = 0
    return state


def _vectors() -> dict[str, Floats]:
    """Vectors in whole steps, one of them the largest there is, so that nothing is lost when they are kept."""
    chance = np.random.default_rng(8)
    rows = chance.integers(-FINEST, FINEST, (len(PIECES), DIMENSIONS))
    rows[0] = FINEST
    return dict(zip(PIECES, (rows / FINEST).astype(np.float32), strict=True))


def _by_the_book(state: dict[str, Floats], vectors: dict[str, Floats], tags: list[Tag]) -> tuple[Floats, Floats]:
    """The same chances step by step, from the equations of gated recurrent units, reset after the product."""
    seen = np.stack([_seen(state, vectors, tag) for tag in tags])
    read = seen
    for n in range(LAYERS):
        ways = [(f"_l{n}", read), (f"_l{n}_reverse", read[::-1])]
        one, other = (_one_way(state, suffix, x) for suffix, x in ways)
        read = np.concatenate([one, other[::-1]], axis=1)
    sums = np.concatenate([read, seen], axis=1) @ state["tag.weight"].T + state["tag.bias"]
    of_note = read.max(axis=0) @ state["note.weight"].T + state["note.bias"]
    powers = np.exp(sums)
    return powers / powers.sum(axis=1, keepdims=True), _logistic(of_note)


def _seen(state: dict[str, Floats], vectors: dict[str, Floats], tag: Tag) -> Floats:
    pieces = pieces_of(word_of(tag), {piece: n for n, piece in enumerate(PIECES)})
    middle = np.mean([vectors[PIECES[n]] for n in pieces], axis=0) if pieces else np.zeros(DIMENSIONS)
    signs = known_signs(tag, (), {sign: n for n, sign in enumerate(SIGNS, 1)})
    assert len(signs) == sum(sign in SIGNS for sign in signs_of(tag))
    bent = np.tanh(state["word.weight"] @ middle + state["word.bias"])
    return np.concatenate([bent, state["signs.weight"][signs].sum(axis=0)]).astype(np.float32)


def _one_way(state: dict[str, Floats], suffix: str, x: Floats) -> Floats:
    h, states = np.zeros(HIDDEN, np.float32), []
    for step in x:
        coming = state[f"read.weight_ih{suffix}"] @ step + state[f"read.bias_ih{suffix}"]
        kept = state[f"read.weight_hh{suffix}"] @ h + state[f"read.bias_hh{suffix}"]
        (of_reset, of_update, of_new), (by_reset, by_update, by_new) = np.split(coming, 3), np.split(kept, 3)
        reset, update = _logistic(of_reset + by_reset), _logistic(of_update + by_update)
        h = (1 - update) * np.tanh(of_new + reset * by_new) + update * h
        states.append(h)
    return np.stack(states)


def _logistic(x: Floats) -> Floats:
    return (1 / (1 + np.exp(-x))).astype(np.float32)
