"""The same notes with every name of the room changed: nothing may hang on one room's names."""

from __future__ import annotations

import ast
import datetime as dt
import json
import re
from pathlib import Path
from typing import Any

import pytest

from bot.language import Names
from bot.language.doubts import heard_twice
from bot.language.tags import Tagger
from shared.room import RoomCard
from tests.language.judging import card_of, notes_of, tally

LINES = {
    "blue gularis": "amber walkeri",
    "gardneri": "bitaeniatum",
    "clown killi": "dapple killi",
    "lampeye": "lanternfin",
    "furzeri": "rachovii",
    "boesemani": "lacustris",
    "forktail": "threadfin",
    "medaka": "luzonensis",
    "panda cory": "sterbai cory",
}
WORDS = {
    "gularis": "walkeri",
    "clown": "dapple",
    "clowns": "dapples",
    "panda": "sterbai",
    "pandas": "sterbais",
    "bg": "aw",
}
WORDS |= {old: new for old, new in LINES.items() if " " not in old} | {
    f"{o}s": f"{n}s" for o, n in LINES.items() if " " not in o
}


def renamed(name: str) -> str:
    """A canonical name of the room as the other room calls it."""
    if name in LINES:
        return LINES[name]
    if hit := re.fullmatch(r"tank (\d+)", name):
        return f"tank {int(hit[1]) + 20}"
    if hit := re.fullmatch(r"tub ([A-G])", name):
        return f"tub {'PQRSTVW'['ABCDEFG'.index(hit[1])]}"
    if hit := re.fullmatch(r"B(\d+)", name):
        return f"K{int(hit[1]) + 30}"
    return name


def deep(value: Any) -> Any:
    if isinstance(value, str):
        return renamed(value)
    if isinstance(value, list):
        return [deep(v) for v in value]
    return {k: deep(v) for k, v in value.items()} if isinstance(value, dict) else value


def other_room(card: RoomCard) -> RoomCard:
    return RoomCard.model_validate(deep(json.loads(card.model_dump_json())))


def in_other_words(note: dict[str, Any], names: Names) -> dict[str, Any] | None:
    """A note with its names changed; None when it says one in a way that cannot be changed word for word."""
    text = note["text"]
    tagger = Tagger(names, text, dt.datetime.fromisoformat(note["sent"]))
    pieces: list[tuple[int, int, str]] = []
    for tag in tagger.tags:
        if tag.kind not in ("place", "batch", "line", "size"):
            continue
        start = tagger.tokens[tagger.items[tag.at].first].start
        end = tagger.tokens[tagger.items[tag.upto - 1].last].end
        said = text[start:end]
        new: str | None = None
        if tag.kind == "place" and len(tag.value) == 1 and tag.value[0].lower() == said.lower():
            new = renamed(tag.value[0])
        elif tag.kind == "place" and len(tag.value) == 1 and (hit := re.fullmatch(r"([Tt])(\d+)", said)):
            new = f"{hit[1]}{int(hit[2]) + 20}"
        elif tag.kind == "batch" and tag.value and said.lower() == tag.value.lower():
            new = renamed(tag.value) if said[0].isupper() else renamed(tag.value).lower()
        elif tag.kind == "line":
            new = LINES.get(said.lower()) or WORDS.get(said.lower())
        if new is None:
            return None
        pieces.append((start, end, new))
    wanted = json.dumps(note["want"])
    for start, end, new in reversed(pieces):
        text = text[:start] + new + text[end:]
    if any(old in text.lower() for old in (*LINES, *WORDS) if len(old) > 3):
        return None
    if re.search(r'"(tank \d+|tub [A-G])"', wanted) and not pieces:
        return None
    places = set(re.findall(r"tank (\d+)", wanted))
    bare = [t for t in tagger.tags if t.kind == "num" and t.value == int(t.value) and str(int(t.value)) in places]
    if bare:
        return None
    return {**note, "text": text, "want": deep(note["want"])}


def test_other_names_are_read_as_well(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(heard_twice, "is_proven", lambda tags, names: False)  # these notes are known word for word
    card = card_of("millrace.json")
    names = Names.of(card)
    pairs = [(n, r) for n in notes_of("millrace.jsonl") if (r := in_other_words(n, names))]
    pairs = [(n, r) for n, r in pairs if n["text"] != r["text"]]
    assert len(pairs) >= 60
    before, _ = tally([n for n, _ in pairs], card)
    after, off = tally([r for _, r in pairs], other_room(card))
    assert after["exact"] >= before["exact"] - len(pairs) // 20, (before, after, off)
    assert after["misread"] <= before["misread"] + len(pairs) // 40, (before, after, off)


def test_no_name_of_a_room_stands_in_the_code() -> None:
    """Words of the trade (medaka, panda as an animal of English) are free; people and lines of one room are not."""
    card = card_of("millrace.json")
    own = {
        *(m.lower() for m in card.members),
        "gularis",
        "gardneri",
        "lampeye",
        "furzeri",
        "boesemani",
        "forktail",
        "okafor",
        "priya",
    }
    files = list((Path(__file__).parents[2] / "bot" / "language").glob("*.py"))
    assert len(files) > 10
    for file in files:
        tree = ast.parse(file.read_text(encoding="utf-8"))
        docs = {
            ast.get_docstring(n, clean=False)
            for n in ast.walk(tree)
            if isinstance(n, (ast.Module, ast.ClassDef, ast.FunctionDef))
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value not in docs:
                assert not own & set(re.findall(r"[a-z]+", node.value.lower())), (file.name, node.lineno)
