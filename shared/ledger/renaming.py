"""A place, line or culture called anew: everything kept under its old name goes on under the new one."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from shared.ledger.accounts import Line, Place

if TYPE_CHECKING:
    from shared.ledger.standing import Standing

# The keys under which an entry, a question or the standing holds the name of a place, batch, line or culture.
_HELD_UNDER = frozenset(
    ("place", "places", "from", "to", "batch", "line", "culture", "group", "except", "means", "joins", "joined", "new",
     "name", "options", "parents", "parent_groups", "parent_lines", "hatched_in")
)  # fmt: skip
# What of the standing is found by such names, alone or with what stands behind a bar.
_FOUND_BY = (
    "places",
    "lines",
    "batches",
    "cultures",
    "holdings",
    "group_tallies",
    "past",
    "stays",
)


class Renaming(NamedTuple):
    """From entry `seq` on, what was called `old` is called `new`."""

    seq: int
    old: str
    new: str


def called_anew(raw: Any, old: str, new: str, key: str | None = None) -> Any:
    """The same with the new name wherever the old one stands as a name; free words are left alone."""
    if isinstance(raw, dict):
        told = {k: called_anew(v, old, new, k) for k, v in raw.items()}
        if told.get("what") == "line" and told.get("value") == old:
            told["value"] = new
        return told
    if isinstance(raw, list | tuple):
        return [called_anew(one, old, new, key) for one in raw]
    return new if raw == old and key in _HELD_UNDER else raw


def as_called_now(raw: Any, seq: int, renamings: Iterable[Renaming]) -> Any:
    """What was written down with entry `seq`, in the names of today."""
    for one in renamings:
        if seq < one.seq:
            raw = called_anew(raw, one.old, one.new)
    return raw


def rename(standing: Standing, old: str, new: str, *, keep: bool = True) -> None:
    """Call a place, line or culture anew in all that stands. `keep`: it is still found by its old name."""
    raw = standing.model_dump(mode="python", by_alias=True)
    words = raw.pop("words")
    raw = called_anew(raw, old, new)
    for name in _FOUND_BY:
        raw[name] = {_key(key, old, new): value for key, value in raw[name].items()}
    for name in ("chores", "readings"):
        found: dict[str, dict[str, Any]] = {}
        for place, there in raw[name].items():
            found.setdefault(new if place == old else place, {}).update(there)
        raw[name] = found
    raw["done"] = {f"{task}|{new if spot == old else spot}": at for (task, spot), at in _split(raw["done"])}
    raw["words"] = {word: new if means == old else means for word, means in words.items()}
    fresh = type(standing).model_validate(raw)
    for name in type(standing).model_fields:
        setattr(standing, name, getattr(fresh, name))
    known: Place | Line | None = standing.places.get(new) or standing.lines.get(new)
    if known is not None:
        known.aka = [a for a in known.aka if a != new] + ([old] if keep else [])
    standing.words.pop(new.casefold(), None)
    if keep and new in standing.cultures:
        standing.words[old.casefold()] = new


def _key(key: str, old: str, new: str) -> str:
    return "|".join(new if part == old else part for part in key.split("|"))


def _split(done: dict[str, Any]) -> list[tuple[tuple[str, str], Any]]:
    return [((key.rpartition("|")[0], key.rpartition("|")[2]), at) for key, at in done.items()]
