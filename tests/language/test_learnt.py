"""The net of the learnt reader: its sums are those of the textbook, and plain notes are told as they should be."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from bot.language import Names
from bot.language.learnt.alone import may_be_labelled
from bot.language.learnt.attention import HEADS
from bot.language.learnt.net import CLOSES, OPENS, TOP, UNKNOWN, Net
from bot.language.learnt.room_signs import room_signs
from bot.language.learnt.second_reading import UNSHOWN
from bot.language.learnt.signs import known_signs, pieces_of, said_as
from bot.language.tags import Tag, Tagger
from tests.language.judging import card_of
from tests.language.learnt_files import FINEST, Floats, write_weights, write_words

SENT = dt.datetime(2026, 3, 9, 18, 30)  # noqa: DTZ001
NAMES = Names.of(card_of("millrace.json"))
LABELS = ["O", "Q", "pull|count", "pull|place"]
KINDS = ["pull", "none"]
SIGNS = ["k=num", "k=word", "s=cue=pull", "w=eggs", "w=\n"]
ABOUTS = ["", "due"]
PIECES = [OPENS, CLOSES, UNKNOWN, "egg", "##s", "pull", "4", ",", "tank"]
LAYERS, WIDTH, BETWEEN, OF_SIGNS, POSITIONS = 2, 2 * HEADS, 8, 5, 14


def tags_of(text: str) -> list[Tag]:
    return Tagger(NAMES, text, SENT).tags


@pytest.mark.parametrize(
    ("text", "labels"),
    [
        ("pulled 40 eggs from tank 3", {"40": "pull|count", "tank": "pull|place"}),
        ("30% water change on 14", {"30": "water_change|percent", "14": "water_change|place"}),
        ("moved 6 fry from 11 to 9", {"6": "move|count", "11": "move|from", "9": "move|to"}),
        ("tank 7 ph is 6.8", {"ph": "measure|quantity", "tank": "measure|place", "6.8": "measure|value"}),
        ("3 dead in 13, the gardneri", {"3": "death|count", "13": "death|place"}),
        ("what hatches tomorrow?", {"tomorrow": "Q|when"}),
        ("the neighbour's car broke down, cost her 300", {"300": "O"}),
    ],
)
def test_plain_notes_are_told_as_they_should_be(text: str, labels: dict[str, str]) -> None:
    tags = tags_of(text)
    told = Net.load().labels(tags, [[*its, *UNSHOWN] for its in room_signs(tags, NAMES)])
    heard = {tag.word: guess.label for tag, guess in zip(tags, told.best, strict=True)}
    assert {word: heard[word] for word in labels} == labels
    kinds = {label.split("|")[0] for label in labels.values() if "|" in label} - {"Q"}
    assert {kind for kind in kinds if told.chances[kind] > 0.5} == kinds
    for guesses in told.guesses:
        assert len(guesses) == TOP
        assert guesses[0].chance >= guesses[1].chance >= guesses[2].chance > 0


@pytest.mark.parametrize(
    ("text", "word", "signs"),
    [
        ("wiped down tub B", "tub", ["in=eggs", "holds=eggs"]),
        ("wiped down tank 7", "tank", ["in=breeders", "holds=none"]),
        ("tub E has 31 left", "31", ["as many"]),
        ("tub E has 6 dead and 25 left", "25", ["what is left"]),
        ("tub E has 40 now", "40", ["more"]),
        ("tub E lost 4", "4", ["id in=breeders", "id holds=none", "fewer"]),
        ("12 in all", "12", ["id in=nursery", "id holds=none"]),
        ("b17 is fine", "b", ["holds=fry"]),
        ("gardneri of tank 3", "gardneri", ["lives here"]),
        ("gardneri of tank 9", "gardneri", ["lives in 2"]),
        ("medaka of tank 3", "medaka", ["lives in 1"]),
        ("tanks 2 and 3 are fine", "tanks", ["in several"]),
        ("the weather is fine", "weather", []),
    ],
)
def test_the_room_says_what_is_in_a_place_and_how_many(text: str, word: str, signs: list[str]) -> None:
    tags = tags_of(text)
    said = {tag.word: its for tag, its in zip(tags, room_signs(tags, NAMES), strict=True)}
    assert said[word] == signs


def test_a_note_of_nothing_is_told_nothing() -> None:
    told = Net.load().labels([])
    assert (told.best, told.chances) == ((), {})


def test_it_is_loaded_once() -> None:
    assert Net.load() is Net.load()


@pytest.mark.parametrize(
    ("word", "pieces"),
    [
        ("eggs", ["egg", "##s"]),
        ("pull 4", ["pull", "4"]),
        (",", [","]),
        ("eggzs", ["egg"]),
        ("ä", []),
        ("", []),
        ("4egg", ["4", "egg"]),
    ],
)
def test_a_word_is_made_of_its_longest_known_pieces(word: str, pieces: list[str]) -> None:
    assert [PIECES[n] for n in pieces_of(word, {piece: n for n, piece in enumerate(PIECES)})] == pieces


def test_the_sums_are_those_of_the_textbook(tmp_path: Path) -> None:
    state, vectors = _state(), dict(zip(PIECES, _in_steps(8, (len(PIECES), WIDTH)), strict=True))
    texts = {"labels": LABELS, "note_labels": KINDS, "about_labels": ABOUTS, "signs": SIGNS}
    write_weights(tmp_path / "weights.npz", state, **texts)
    write_words(tmp_path / "words.npz", vectors)
    with np.load(tmp_path / "weights.npz") as weights, np.load(tmp_path / "words.npz") as words:
        net = Net(dict(weights), words)
    tags = tags_of("pulled 4 eggs, 40 from tank 3")
    wanted = _by_the_book(state, vectors, tags)
    for heard, want in zip(net.chances(tags), wanted, strict=True):
        assert np.abs(heard - want).max() < 2e-3
    told = net.labels(tags)
    assert [guess.label for guess in told.best] == [LABELS[n] for n in wanted[0].argmax(axis=1)]
    assert told.chances == pytest.approx(dict(zip(KINDS, wanted[1].tolist(), strict=True)), abs=2e-3)
    assert told.abouts == pytest.approx(dict(zip(ABOUTS, wanted[2].tolist(), strict=True)), abs=2e-3)
    assert len(net.labels(tags * 9).guesses) == 9 * len(tags), "a note longer than there are positions"


def _in_steps(seed: int, shape: tuple[int, ...]) -> Floats:
    """Numbers by chance in whole steps, the largest there is in every row and column, so that keeping loses nothing."""
    rows = np.random.default_rng(seed).integers(-FINEST, FINEST, shape)
    rows[:, 0] = rows[0] = FINEST
    return (rows / FINEST).astype(np.float32)


def _state() -> dict[str, Floats]:
    """Weights by chance, as the learning keeps them."""
    lines = {"signs_read": (WIDTH, OF_SIGNS), "tag": (len(LABELS), WIDTH + OF_SIGNS)}
    lines |= {"note": (len(KINDS), 2 * WIDTH), "about": (len(ABOUTS), 2 * WIDTH)}
    levels = ["model.embeddings.LayerNorm"]
    for n in range(LAYERS):
        its = f"model.encoder.layer.{n}."
        lines |= {f"{its}attention.self.{name}": (WIDTH, WIDTH) for name in ("query", "key", "value")}
        lines |= {f"{its}attention.output.dense": (WIDTH, WIDTH)}
        lines |= {f"{its}intermediate.dense": (BETWEEN, WIDTH), f"{its}output.dense": (WIDTH, BETWEEN)}
        levels += [f"{its}attention.output.LayerNorm", f"{its}output.LayerNorm"]
    chance = np.random.default_rng(7)
    state = {f"{name}.weight": 0.3 * _in_steps(n, shape) for n, (name, shape) in enumerate(lines.items())}
    state |= {f"{name}.bias": chance.normal(0, 0.5, shape[0]).astype(np.float32) for name, shape in lines.items()}
    state |= {f"{name}.{part}": chance.normal(0.5, 0.5, WIDTH).astype(np.float32) for name in levels for part in _PARTS}
    state["model.embeddings.position_embeddings.weight"] = _in_steps(5, (POSITIONS, WIDTH))
    state["model.embeddings.token_type_embeddings.weight"] = _in_steps(6, (2, WIDTH))
    state["signs.weight"] = _in_steps(9, (len(SIGNS) + 1, OF_SIGNS))
    state["signs.weight"][0] = 0
    return state


_PARTS = ("weight", "bias")


def _by_the_book(
    state: dict[str, Floats], vectors: dict[str, Floats], tags: list[Tag]
) -> tuple[Floats, Floats, Floats]:
    """The same chances piece by piece, from the equations of the two papers."""
    known = {piece: n for n, piece in enumerate(PIECES)}
    signs = [
        state["signs.weight"][known_signs(t, (), {s: n for n, s in enumerate(SIGNS, 1)})].sum(axis=0) for t in tags
    ]
    rows, owners = [vectors[OPENS]], [-1]
    for at, tag in enumerate(tags):
        for n in pieces_of(said_as(tag), known) or [known[UNKNOWN]]:
            rows.append(vectors[PIECES[n]] + _line(state, "signs_read", signs[at]))
            owners.append(at)
    x = np.stack([*rows, vectors[CLOSES]])
    x = x + state["model.embeddings.position_embeddings.weight"][: len(x)]
    x = _level(state, "model.embeddings.LayerNorm", x + state["model.embeddings.token_type_embeddings.weight"][0])
    for n in range(LAYERS):
        its = f"model.encoder.layer.{n}."
        asks, shows, tells = (_line(state, f"{its}attention.self.{name}", x) for name in ("query", "key", "value"))
        heads = [_looked(*(m[:, at : at + 2] for m in (asks, shows, tells))) for at in range(0, WIDTH, 2)]
        seen = _line(state, f"{its}attention.output.dense", np.concatenate(heads, axis=1))
        x = _level(state, f"{its}attention.output.LayerNorm", x + seen)
        up = _line(state, f"{its}intermediate.dense", x)
        bent = 0.5 * up * (1 + np.tanh(np.sqrt(2 / np.pi) * (up + 0.044715 * up**3)))
        x = _level(state, f"{its}output.LayerNorm", x + _line(state, f"{its}output.dense", bent))
    owners.append(-1)
    of_tags = [x[[n for n, owner in enumerate(owners) if owner == at]].mean(axis=0) for at in range(len(tags))]
    whole = np.concatenate([x.mean(axis=0), x.max(axis=0)])
    return (
        np.stack([_share(_line(state, "tag", np.concatenate(row))) for row in zip(of_tags, signs, strict=True)]),
        np.asarray(1 / (1 + np.exp(-_line(state, "note", whole))), np.float32),
        _share(_line(state, "about", whole)),
    )


def _line(state: dict[str, Floats], name: str, x: Floats) -> Floats:
    return np.asarray(x @ state[f"{name}.weight"].T + state[f"{name}.bias"], np.float32)


def _level(state: dict[str, Floats], name: str, x: Floats) -> Floats:
    rows = [(row - row.mean()) / np.sqrt(row.var() + 1e-12) for row in x]
    return np.asarray(np.stack(rows) * state[f"{name}.weight"] + state[f"{name}.bias"], np.float32)


def _looked(asks: Floats, shows: Floats, tells: Floats) -> Floats:
    return np.stack(
        [sum(w * row for w, row in zip(_share(shows @ ask / np.sqrt(2)), tells, strict=True)) for ask in asks]
    )


def _share(x: Floats) -> Floats:
    return np.asarray(np.exp(x - x.max()) / np.exp(x - x.max()).sum(), np.float32)


@pytest.mark.parametrize(
    ("note", "word", "may_be"),
    [
        ("sold okafor 2 gularis $35", "okafor", True),
        ("gus 2 gul 36, nell 4 med 20", "nell", True),
        ("sold them two gularis, lovely", "them", False),
        ("sold them two gularis, lovely", "lovely", False),
    ],
)
def test_a_name_written_small_may_be_someone(note: str, word: str, may_be: bool) -> None:
    tags = tags_of(note)
    at = next(n for n, tag in enumerate(tags) if tag.word == word)
    assert may_be_labelled(tags, at, NAMES) == may_be
