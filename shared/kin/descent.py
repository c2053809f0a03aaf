"""Where a batch comes from: when it was laid, who stood in its parents' places then, and what that makes it.

Worked out anew whenever a late entry changes who was where, so that the order of telling does not matter.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING

from shared.events import EggsPulled, FishMoved, FryHatched, PeatHandled, RoutineSet
from shared.kin.lineage import STRAY, UNKNOWN, Stay, generation_label, young_of
from shared.ledger.accounts import KEPT_STAYS, STAYS_MATTER, Batch, Entry, Holding, Laying, number_in
from shared.ledger.past_hatches import known_better

if TYPE_CHECKING:
    from shared.ledger.standing import Standing


# What is the same of eggs or fish under a name of their own.
_KEPT_APART = (
    "medium",
    "wetted",
    "bagged",
    "peat_weeks",
    "eyed",
    "fry_seen",
    "clear_until",
    "hatched_in",
    "generation",
    "generation_said",
)
_OF_A_LATER_WETTING = ("medium", "generation", "generation_said")  # of its fry, only where they come from


def open_batch(standing: Standing, entry: Entry) -> None:
    """Make the batch an entry speaks of, or widen when it was laid."""
    if not entry.batch or entry.batch in standing.lines:
        return
    joined = _joined(standing, entry)
    batch = standing.batches.get(entry.batch)
    if batch is None:
        batch = standing.batches[entry.batch] = _made(standing, entry, entry.batch, joined)
        standing.last_batch = max(standing.last_batch, number_in(entry.batch))
    batch.touched = max(batch.touched, entry.said)
    if entry.at < batch.opened:
        batch.opened = entry.at
    if joined and joined is not batch:
        _join(standing, batch, joined, hatched=isinstance(entry.event, FryHatched))
        return
    spots = _collected_at(standing, entry)
    batch.parents += [p for p in spots if p not in batch.parents]
    _lay(batch, entry, spots)
    if spots or entry.laid_from or (batch.parents and not batch.layings):
        _descend(standing, batch)


def _joined(standing: Standing, entry: Entry) -> Batch | None:
    """The batch that becomes part of it, or that it is split off from."""
    event = entry.event
    if isinstance(event, FryHatched) and entry.joins:
        return standing.batches.get(entry.joins)
    return standing.batches.get(event.batch or "") if isinstance(event, FishMoved) and event.joins else None


def _made(standing: Standing, entry: Entry, name: str, joined: Batch | None) -> Batch:
    line = entry.line or getattr(entry.event, "line", None) or STRAY
    kept = standing.lines.get(line)
    medium = kept.eggs if kept and kept.eggs else "water"
    batch = Batch(name=name, line=line, opened=entry.at, touched=entry.said, medium=medium)
    if joined:
        its = _OF_A_LATER_WETTING if isinstance(entry.event, FryHatched) else _KEPT_APART
        return batch.model_copy(update={name: getattr(joined, name) for name in its})
    if label := _as_it_was_called(standing, entry):
        return batch.model_copy(update={"generation": label, "generation_said": True})
    return batch


def _collected_at(standing: Standing, entry: Entry) -> list[str]:
    """The places whose fish laid the eggs, where an entry tells that."""
    event = entry.event
    if isinstance(event, FryHatched) and entry.line:  # fry nobody had logged eggs of, skimmed where their parents are
        return [p for p in [entry.place] if p and standing.stays.get(p)]
    collected = isinstance(event, EggsPulled) or (isinstance(event, PeatHandled) and event.action != "wet")
    return list(getattr(event, "spots", ())) if collected else []


def _lay(batch: Batch, entry: Entry, spots: list[str]) -> None:
    """When eggs of the batch were laid, as an entry tells it."""
    if entry.laid_from:
        laying = Laying(places=spots, begin=entry.laid_from, end=max(entry.laid_to or entry.at, entry.laid_from))
        if isinstance(entry.event, RoutineSet):  # the keeper says when: that is it
            batch.layings = [laying.model_copy(update={"places": list(batch.parents)})]
        else:
            batch.layings.append(laying)
    elif entry.laid_to:
        batch.laid_to = max(batch.laid_to, entry.laid_to) if batch.laid_to else entry.laid_to


def _as_it_was_called(standing: Standing, entry: Entry) -> str | None:
    """The generation of fish of a line that become a batch on the way, to be counted apart from others."""
    sources = [p.source for p in entry.postings if p.source and p.source.group in standing.lines]
    if not isinstance(entry.event, FishMoved) or len(sources) != 1:
        return None
    labels = labels_at(standing, sources[0].place, sources[0].group, entry.at)
    return labels[0] if len(labels) == 1 else None


def _join(standing: Standing, batch: Batch, joined: Batch, *, hatched: bool) -> None:
    """What a batch takes over from one that becomes part of it, or that it was split off from."""
    batch.layings += [laying.model_copy(deep=True) for laying in joined.layings if laying not in batch.layings]
    batch.parents += [p for p in joined.parents if p not in batch.parents]
    if not hatched and joined.fry_seen and (batch.fry_seen is None or joined.fry_seen < batch.fry_seen):
        batch.fry_seen, batch.clear_until, batch.hatched_in = joined.fry_seen, joined.clear_until, joined.hatched_in
    said = batch.generation_said or joined.generation_said
    if said and generation_label(batch.generation) != generation_label(joined.generation):
        batch.generation, batch.generation_said = UNKNOWN, True
    _descend(standing, batch)


def _descend(standing: Standing, batch: Batch) -> None:
    """When a batch was laid, who its parents are and what that makes it, from all that is known by now."""
    if batch.layings:
        batch.laid_from = min(laying.begin for laying in batch.layings)
        batch.laid_to = max(laying.end for laying in batch.layings)
    found = [s for x in batch.layings if x.places for s in standing.parents_at(x.places, x.begin, x.end)]
    if not batch.layings and batch.parents:
        found = standing.parents_at(batch.parents, batch.opened, batch.opened)
    if not found:
        return
    batch.parent_groups = list(dict.fromkeys(s.group for s in found))
    batch.parent_lines = list(dict.fromkeys(s.line for s in found))
    if not batch.generation_said:
        young = young_of(s.generation for s in found)
        batch.generation = young.label or (UNKNOWN if len(young.options) > 1 else None)


def descend_again(standing: Standing, place: str) -> None:
    """The stays in a place are known better now: so are the parents of what was laid there."""
    for batch in standing.batches.values():
        if place in batch.parents:
            _descend(standing, batch)


def cut_windows(standing: Standing, place: str, at: dt.datetime) -> None:
    """A mop seen to at a time before others already logged: what was taken from it later was laid since then."""
    if all(t <= at for chore in ("pull", "mop") for t in standing.times(place, chore)):
        return
    for batch in standing.batches.values():
        late = [x for x in batch.layings if x.places == [place] and x.begin < at < x.end]
        for laying in late:
            laying.begin = at
        if late:
            _descend(standing, batch)
            known_better(standing, batch)


def stand(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    """Growing or grown fish come to a place: from now on they may be parents there."""
    if holding.stage not in ("juveniles", "adults") or not holding.place:
        return
    stays = standing.stays.setdefault(holding.place, [])
    label = standing.generation_of(holding.group)
    stays.append(Stay(group=holding.group, line=holding.line, stage=holding.stage, since=at, generation=label))
    left = [stay for stay in stays if stay.until]
    old = [stay for n, stay in enumerate(left, KEPT_STAYS - len(left)) if n < 0 or _long_gone(stay, at)]
    if old:
        _forget(standing, holding.place, old)
    descend_again(standing, holding.place)


def _long_gone(stay: Stay, at: dt.datetime) -> bool:
    return stay.until is not None and at - stay.until > STAYS_MATTER


def _forget(standing: Standing, place: str, old: list[Stay]) -> None:
    """Stays nobody need know of any more: none of those that laid what is still here."""
    young = [batch for batch in standing.batches.values() if place in batch.parents]
    laid = [(x.begin, x.end) for batch in young for x in batch.layings if place in x.places]
    laid += [(batch.opened, batch.opened) for batch in young if not batch.layings]
    for stay in old:
        if not any(stay.during(*window) for window in laid):
            standing.stays[place].remove(stay)


def bring(standing: Standing, holding: Holding, labels: Sequence[str | None], at: dt.datetime, *, fresh: bool) -> None:
    """Fish of a line come to a place as another generation than its others: both may be parents there from now on."""
    stays = standing.stays.get(holding.place, [])
    here = [s for s in stays if s.until is None and (s.group, s.stage) == (holding.group, holding.stage)]
    for n, label in enumerate(labels):
        if not here or any(stay.generation == label for stay in here):
            continue
        if n == 0 and fresh:
            here[0].generation = label
            continue
        here.append(here[-1].model_copy(update={"since": at, "generation": label}))
        stays.append(here[-1])
    if here and labels:
        descend_again(standing, holding.place)


def labels_at(standing: Standing, place: str, group: str, at: dt.datetime) -> list[str | None]:
    """What the fish of a group that stand in a place, or left it just then, are called."""
    stays = [s for s in standing.stays.get(place, []) if s.group == group and (s.until is None or s.until == at)]
    return list(dict.fromkeys(stay.generation for stay in stays))


def leave(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    """The last of them are gone from a place."""
    stays = standing.stays.get(holding.place, [])
    for stay in [s for s in stays if s.until is None and (s.group, s.stage) == (holding.group, holding.stage)]:
        stay.until = max(at, stay.since)
        if stay.until == stay.since:
            stays.remove(stay)
        descend_again(standing, holding.place)


def came_earlier(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    """A late entry says fish came before the record knew of it."""
    if at >= holding.since:
        return
    holding.since = at
    for stay in standing.stays.get(holding.place, []):
        if stay.until is None and (stay.group, stay.stage) == (holding.group, holding.stage):
            stay.since = min(stay.since, at)
            descend_again(standing, holding.place)


def call_there(standing: Standing, place: str, label: str, at: dt.datetime) -> None:
    """The keeper says which generation a line's fish in one place are; a batch there is called so by its name."""
    said = generation_label(label)
    stays = standing.stays.get(place, [])
    for stay in [s for s in stays if s.until is None and s.group not in standing.batches]:
        if stay.generation is None:
            stay.generation = said
        elif stay.generation != said:
            stay.until = at
            stays.append(stay.model_copy(update={"since": at, "until": None, "generation": said}))
    descend_again(standing, place)


def call(standing: Standing, group: str, label: str, at: dt.datetime) -> None:
    """The keeper says which generation a batch or a line is.

    A batch never changes, so all it did was done as that. A line's label moves on: its fish are called so from now.
    """
    said = generation_label(label)
    batch, line = standing.batches.get(group), standing.lines.get(group)
    if batch:
        batch.generation, batch.generation_said = said, True
    elif line:
        line.generation = said
    touched = []
    for place, stays in standing.stays.items():
        for stay in [s for s in stays if s.group == group]:
            if batch or (stay.generation is None and stay.until is None):
                stay.generation = said
            elif stay.until is None and stay.generation != said and stay.since <= at:
                stay.until = at
                stays.append(stay.model_copy(update={"since": at, "until": None, "generation": said}))
            else:
                continue
            touched.append(place)
    for place in dict.fromkeys(touched):
        descend_again(standing, place)
