"""What is worth keeping of a note that tells of no event."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from typing import Any

from bot.language.scene import Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller
from bot.language.text.names import Names
from shared.events import Event, event_from

_WEIGHTY = re.compile(
    r"\b(power|heater|leak|leaking|leaked|flood|temperature|room|filter|fish|fry|eggs?|egg|mop|male|female|fungus|ich|velvet|spots?|sick|water|culture|tank|tub|thermometer|pump)\b"
)


AILING = re.compile(
    r"\b(ich|velvet|spots?|torn|bloat\w*|sick|clamped|flashing|scratching|gasping|swollen|pinecon\w*|rubbing|skinny|lesion|wound|fin rot)\b"
)


def ailing(sentences: list[Sentence], teller: Teller) -> Sentence | None:
    """A sentence that tells of sick fish in a named tank and led to no event: kept as a remark beside the rest."""
    told = {e.get("_sentence") for e in teller.events}
    for sentence in sentences:
        named = any(t.kind in ("place", "batch") and t.value for t in sentence.tags)
        if id(sentence) not in told and named and AILING.search(sentence.text()):
            return sentence
    return None


def worth_keeping(text: str, sentences: list[Sentence], tags: list[Tag], names: Names) -> bool:
    live = [t for t in tags if t.note != "quoted"]
    if len(re.findall(r"\w", text)) < 2:
        return False  # "E…": a letter by itself says nothing of its tub
    if any(t.kind in ("place", "batch", "size") and t.value for t in live):
        return True
    if any(t.kind in ("line", "culture") for t in live) or _numbered_place(live, names):
        return True
    if (
        any(
            t.says("food")
            and any(h.rstrip("s") in {f.rstrip("s") for f in t.senses["food"]} for h in names.culture_ids)
            for t in live
        )
        and len(live) >= 5
    ):
        return True
    if (
        re.match(r"^\s*(thanks|thank|ty|cheers|lol|haha|good (morning|night|evening)|hello|hi|hey)\b", text.lower())
        and len(live) < 12
    ):
        return False
    low = " ".join(t.word for t in live)
    if re.search(r"\b(anyone else|anybody else)\b", low):
        return False
    return bool(_WEIGHTY.search(low)) and len(live) >= 3


def _numbered_place(tags: list[Tag], names: Names) -> bool:
    """Whether a bare number names a place: "saw hydra in 11", "7 colors great"."""
    for n, tag in enumerate(tags):
        if tag.kind != "num" or tag.low is not None or len(names.by_id.get(f"{tag.value:g}", ())) != 1:
            continue
        after = tags[n + 1] if n + 1 < len(tags) else None
        if after is not None and (
            (after.says("noun") and not after.says("noun", "male", "female")) or after.kind in ("dur", "times")
        ):
            continue
        if (n and tags[n - 1].word in ("in", "from", "under")) or (
            n == 0 and 3 <= len(tags) <= 8 and tag.note != "spelled"
        ):
            return True
    return False


def remark(tags: list[Tag], text: str, names: Names) -> Event:
    raw: dict[str, Any] = {"kind": "remark", "text": text.strip()[:2000]}
    places = list(dict.fromkeys(p for t in tags if t.kind == "place" for p in t.value))
    for n, tag in enumerate(tags):
        if (
            tag.kind == "num"
            and n
            and tags[n - 1].word in ("in", "under", "on", "from", "by", "of", "for")
            and tag.value == int(tag.value)
        ) or (n == 0 and tag.kind == "num" and _numbered_place(tags[:8], names) and len(tags) <= 8):
            found = names.by_id.get(str(int(tag.value)), ())
            nxt = tags[n + 1] if n + 1 < len(tags) else None
            if len(found) == 1 and (nxt is None or not nxt.says("noun")):
                places.append(found[0])
    batches = [t.value for t in tags if t.kind == "batch" and t.value]
    lines = [t.value[0] for t in tags if t.kind == "line" and len(t.value) == 1]
    if len(set(places)) == 1:
        raw["place"] = places[0]
    elif len(set(batches)) == 1:
        raw["batch"] = batches[0]
    elif len(set(lines)) == 1:
        raw["line"] = lines[0]
    return event_from(raw)
