"""Sentences put together or cut before they are read: a count parted from its tank, a reminder hung on what was done."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from dataclasses import replace

from bot.language.scene import Sentence
from bot.language.tags import Tag


def cut_at_reminders(sentences: list[Sentence]) -> list[Sentence]:
    """A reminder asked for after what was done ("fed all, and remind me to …") is a sentence of its own."""
    out: list[Sentence] = []
    for sentence in sentences:
        cut = next((n for n, p in enumerate(sentence.parts) if n and p.tags and p.tags[0].says("cue", "remind")), 0)
        before = sentence.parts[:cut]
        did = [
            t
            for p in before
            for t in p.tags
            if (
                t.senses.get("cue")
                and (t.word.endswith("ed") or t.word in ("fed", "did", "lost", "sold", "bought"))
                and t.note != "muted"
            )
            or t.kind == "pct"
        ]
        ahead = any(t.kind == "day" and t.value.future for p in before for t in p.tags)
        shown = bool(before) and bool(re.match(r"^(show|tell me|what|how|when|which)\b", before[0].text()))
        if not (did or shown) or ahead or any(p.muted for p in before):
            out.append(sentence)
            continue
        rest = sentence.parts[cut:]
        at = next(n for n, t in enumerate(sentence.tags) if t is rest[0].tags[0])
        out.append(replace(sentence, parts=before, tags=sentence.tags[:at], stop=","))
        out.append(replace(sentence, parts=rest, tags=sentence.tags[at:]))
        before[-1].after, rest[0].before = None, None
    return out


def _only_places(sentence: Sentence) -> bool:
    return len(sentence.tags) <= 3 and all(
        t.kind == "place"
        or (t.kind == "num" and t.low is None and t.value == int(t.value))
        or t.word in (",", "and", "&")
        for t in sentence.tags
    )


def _listable(sentence: Sentence) -> bool:
    """Whether a line only says what was done, and places may follow it line by line."""
    words = [t for t in sentence.tags if t.kind not in ("num", "place", "sep", "punct", "day", "clock")]
    signs = [t for t in words if t.says("cue", "topoff", "wc", "changed", "feed", "clean")]
    return bool(signs) and len(words) <= 4


def joined_up(sentences: list[Sentence]) -> list[Sentence]:
    """Join "counted 13. 82 not 84": a count cut off from its place by a full stop."""
    out: list[Sentence] = []
    for n, sentence in enumerate(sentences):
        following = sentences[n + 1] if n + 1 < len(sentences) else None
        if out and out[-1].stop == "\n" and _only_places(sentence) and _listable(out[-1]):
            more = following is not None and _only_places(following)
            if more or out[-1].tags[-1].kind == "sep" or any(t.kind in ("num", "place") for t in out[-1].tags):
                last = out[-1].parts[-1]  # "topped off:" and then a place a line
                joined = [Tag("sep", ",", 0, 0, ","), *sentence.tags]
                last.tags.extend(joined)
                out[-1].tags = [*out[-1].tags, *joined]
                continue
        if (
            out
            and out[-1].stop == "."
            and sentence.tags[0].kind == "num"
            and sentence.tags
            and out[-1].tags[-1].kind == "num"
            and any(t.says("cue", "count") for t in out[-1].tags)
            and not any(t.kind in ("place", "batch", "size") for t in out[-1].tags)
            and len([t for t in out[-1].tags if t.kind == "num"]) == 1
        ):
            last = out[-1].parts[-1]
            last.tags.append(Tag("sep", ",", 0, 0, ","))
            last.tags.extend(sentence.parts[0].tags)
            out[-1].tags = [*out[-1].tags, *sentence.tags]
            out[-1].parts.extend(sentence.parts[1:])
            out[-1].stop = sentence.stop
            continue
        out.append(sentence)
    return out
