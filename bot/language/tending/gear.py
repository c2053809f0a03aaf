"""Gear cleaned, mended, set and changed."""

from __future__ import annotations

import re
from typing import Any

from bot.language.clauses.group import Group
from bot.language.scene import Part
from bot.language.tags import Tag
from bot.language.telling import Sight, Teller


def _behind(part: Part, tag: Tag) -> bool:
    """Whether a piece of gear only says where: "stuck behind the sponge", "sucked into the filter"."""
    n = next(i for i, t in enumerate(part.tags) if t is tag)
    return any(
        t.word in ("into", "behind", "under", "in", "inside", "near", "against", "beside", "by", "on", "around")
        for t in part.tags[max(0, n - 2) : n]
    )


_SEEN_ONLY = frozenset(["lamp", "glass", "front glass", "light", "lights", "air", "led", "algae"])
_OUT_OF_ORDER = frozenset(["died", "failed", "stopped", "broke"])
_WORK = frozenset(
    ["squeezed", "squeezed out", "rinsed", "cleaned", "wiped", "swapped", "replaced", "scrubbed", "wrung", "wrung out",
     "washed", "fixed", "cleared", "unblocked", "swished", "fitted", "installed"]
)  # fmt: skip
_SEEN_TO = frozenset(
    ["siphoning", "siphon", "leaking", "rattling", "installed", "fitted", "unplugged", "burned", "broken"]
)


def sees_service(part: Part, teller: Teller) -> Sight | None:
    if part.words() & {"mistake", "accident", "accidentally"} or part.noun("eggs") or part.has("bad", "hatch", "eyed"):
        return None
    items, clean = part.sense("item"), part.cues("clean")
    if "hours" in part.words() and any(t.says("item", "light") for t in items):
        return None  # how long a light burns
    if part.kind("line", "batch") or part.noun("male", "female", "fish", "fry", "juveniles"):
        items = [t for t in items if not _behind(part, t)]
    if items and not clean and all(t.word in _SEEN_ONLY for t in items):
        return None
    given = [t for t in part.cues("gave") if t.word not in ("had", "has") or part.cues("done", "changed")]
    if items and (clean or given or part.cues("done", "changed")):
        if clean and (_only_described(part, clean) or _only_failed(part, clean)):
            return None
        return Sight(5, (*items, *clean, *part.cues("changed", "collect", "dead")))
    spoken_of = teller.context.values.get("item_sentence") in (part.sentence, part.sentence - 1)
    if not items and clean and clean[0].word in _WORK and spoken_of and not part.kind("line") and len(part.tags) <= 16:
        return Sight(3, tuple(clean))
    where = part.kind("place", "num", "size")
    if items and part.words() & _SEEN_TO and (where or teller.context.places):
        return Sight(3, tuple(items))
    if not items and len(part.tags) <= 5 and len(part.kind("place")) == 1 and clean and clean[0].word in _OF_THE_WHOLE:
        return Sight(3, tuple(clean))  # "cleaned out tub G"
    if items and teller.context.kind == "service" and where:
        return Sight(3, tuple(items))
    return None


def _only_described(part: Part, clean: list[Tag]) -> bool:
    """Whether gear is only called new or clean, and nobody says that it was put in."""
    put_in = part.words() & {"put", "in", "got", "installed", "fitted", "swapped", "on", "for"}
    return all(t.word in ("new", "fresh", "clean", *_OUT_OF_ORDER) for t in clean) and not put_in


def _only_failed(part: Part, clean: list[Tag]) -> bool:
    return all(t.word in (*_OUT_OF_ORDER, "broken", "packed up") for t in clean) and not mended(part)


_OF_THE_WHOLE = frozenset(["cleaned", "cleaned out", "scrubbed", "washed", "rinsed", "bleached", "hosed", "wiped down"])
_MENDING = frozenset(
    ["spare", "new", "fitted", "replaced", "swapped", "swaped", "changed", "fixed", "mended", "installed", "sorted",
     "repaired", "put"]
)  # fmt: skip


def mended(part: Part) -> bool:
    """Whether what failed is said, in the clause or those beside it, to have been put right."""
    near = [part, *([part.before] if part.before else []), *([part.after] if part.after else [])]
    near += [near[-1].after] if near[-1].after else []
    return any(w in _MENDING for p in near if not p.muted for t in p.tags for w in t.word.split())


def _one_by_one(group: Group, seq: list[tuple[str, Any, Tag]]) -> list[tuple[str, str]]:
    """Gear and places by turns ("t8 sponge squeezed t9 glass wiped", "sponges 4 and 5, glass 7"): each its own."""
    spots = {id(tag): value for kind, value, tag in seq if kind == "P"}
    row: list[tuple[str, str]] = []
    for tag in group.tags:
        if id(tag) in spots:
            row += [("P", place) for place in spots[id(tag)]]
        elif tag.senses.get("item") and tag.note != "muted":
            row.append(("I", min(tag.senses["item"])))
    order = "".join(kind for kind, _ in row)
    if re.fullmatch(r"(?:P+I){2,}", order):
        row.reverse()  # the places stand before what was done there
    elif not re.fullmatch(r"(?:IP+){2,}", order):
        return []
    pairs: list[tuple[str, str]] = []
    item = ""
    for kind, value in row:
        item = value if kind == "I" else item
        pairs += [(item, value)] if kind == "P" else []
    return pairs if order.startswith("I") else pairs[::-1]


def _spare_from(group: Group, place: Tag) -> bool:
    """Whether a place is only where the new one came from: "for the spare out of 16"."""
    n = group._index(place)
    before = [t.word for t in group.tags[max(0, n - 5) : n]]
    return "spare" in before and before[-1].rpartition(" ")[2] in ("of", "from")


def tell_service(group: Group, teller: Teller) -> None:
    if group.unknown() is not None:
        teller.ask_place(group, {"kind": "service"})
        return
    group.join_spans()
    items = list(dict.fromkeys(min(t.senses["item"]) for t in group.sense("item")))
    if not items and teller.context.values.get("item_sentence") not in (group.sentence, group.sentence - 1):
        its = [p for t in group.kind("place") for p in t.value]
        items = [teller.names.place_of[its[0]].kind] if its and its[0] in teller.names.place_of else []
    items = items or [str(teller.context.values["item"])]
    if len(items) > 1 and "floss" in items:
        items.remove("floss")  # new floss in the box filter
        for tag in group.sense("item"):
            tag.claimed = tag.claimed or ("part" if tag.says("item", "floss") else "")
    swapped = group.words() & {"replaced", "swapped", "exchanged", "changed"}
    if len(items) > 1 and swapped and group.words() & {"by", "with", "for"}:
        items = items[:1]  # "the filter was replaced by a new sponge"
    seq = [s for s in group.sequence("place") if not _spare_from(group, s[2])]
    places = [p for k, v, _ in seq if k == "P" for p in v]
    batches = [teller.names.batch_of[b].place for b in group.batches()]
    places = list(dict.fromkeys([*places, *[b for b in batches if b in teller.names.place_of]]))
    groups = group.sense("group")
    if not places and groups:
        places = [min(groups[0].senses["group"])]
    if not places:
        found, sort = teller.where(group, "service")
        places = list(found) if sort == "P" else []
    before = group.parts[0].before
    if not places and before is not None and before.sense("item"):
        places = [p for k, v, _ in Group([before], group.names, group.context).sequence("place") if k == "P" for p in v]
    if not places:
        if group.words() & {"all", "every"}:
            places = ["all"]
        else:
            teller.ask_place(group, {"kind": "service", "item": items[0]})
            return
    for item, place in _one_by_one(group, seq) or [(i, p) for i in items for p in places]:
        teller.tell("service", group, place=place, item=item)
