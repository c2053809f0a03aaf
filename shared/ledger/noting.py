"""What an entry changes beside the numbers: chores done, readings, cultures, promises, dates of a batch."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import TYPE_CHECKING

from shared.events import (
    BadEggsRemoved,
    BatchOpened,
    Corrected,
    CultureOpened,
    CultureTended,
    Dosed,
    EggsEyed,
    EggsPulled,
    Fed,
    FishMoved,
    FishPromised,
    FishSold,
    FryHatched,
    GearServiced,
    HeadsCounted,
    LineOpened,
    Measured,
    MopHung,
    PeatHandled,
    PlaceClosed,
    PlaceOpened,
    PromiseReleased,
    ReminderAsked,
    Renamed,
    RoutineSet,
    StockArrived,
    TaskDone,
    TaskPutOff,
    ToppedOff,
    WaterChanged,
    WordTaught,
)
from shared.kin.descent import call, call_there, cut_windows, descend_again
from shared.kin.lineage import STRAY
from shared.ledger.accounts import (
    DATED_BY,
    KEPT_MEASURES,
    KEPT_READINGS,
    KEPT_TIMES,
    OF_THE_FISH,
    RECKONED_WITH,
    Batch,
    Chore,
    Culture,
    Entry,
    Kept,
    Line,
    Place,
    Readings,
    medium_of,
)
from shared.ledger.past_hatches import known_better, remember, warmth_told_late
from shared.ledger.renaming import rename

if TYPE_CHECKING:
    from shared.ledger.standing import Standing


def _vessel(name: str) -> str:
    """The sort of place a name tells of, a tank where it tells nothing."""
    first = name.split()[0].lower() if name.split() else ""
    return first if first in ("tank", "tub", "jar", "bag", "bowl", "box", "bucket") else "tank"


def _chore(standing: Standing, place: str, chore: str, at: dt.datetime) -> None:
    there = standing.chores.setdefault(place, {})
    found = there.get(chore)
    if found is None:
        found = there[chore] = Chore([])
    found.add(at, KEPT_TIMES if chore.partition(":")[0] in DATED_BY else 1)


def _look(standing: Standing, places: Iterable[str], at: dt.datetime) -> None:
    """Whoever tends an egg tub looks into it: no fry mentioned means none seen."""
    for place in places:
        last = standing.last(place, "look")
        _chore(standing, place, "look", at)
        if last and at < last:  # told late: it may lie between the last empty look and the first fry
            for batch in standing.batches.values():
                if batch.hatched_in == place and batch.fry_seen and at < batch.fry_seen:
                    _clear(standing, batch, at)


def _clear(standing: Standing, batch: Batch, looked: dt.datetime) -> None:
    """Somebody looked at the eggs and saw no fry yet."""
    if looked < (batch.clear_until or batch.laid_from or batch.opened):
        return
    batch.clear_until = looked
    known_better(standing, batch)


def note(standing: Standing, entry: Entry) -> None:
    """What an event changes beside the numbers."""
    event, at = entry.event, entry.at
    places = [entry.place] if entry.place else []
    match event:
        case LineOpened():
            had = standing.lines.get(event.line) or Line(name=event.line)
            standing.lines[event.line] = Line(
                name=event.line,
                species=event.species or had.species,
                eggs=event.eggs or had.eggs,
                population=event.population or had.population,
                generation=had.generation,
                aka=list(event.aka) or had.aka,
            )
            if event.generation:
                call(standing, event.line, event.generation, at)
        case PlaceOpened():
            known = standing.places.get(event.place)
            for other in (p for p in standing.places.values() if event.place in p.aka):
                other.aka.remove(event.place)  # what was called so once has its old name no more
            standing.places[event.place] = Place(
                name=event.place,
                kind=event.vessel or (known.kind if known else _vessel(event.place)),
                litres=event.litres or (known.litres if known else None),
                role=event.role or (known.role if known else None),
                line=event.line or (known.line if known else None),
                collect=event.collect or (known.collect if known else None),
                aka=known.aka if known else [],
            )
        case PlaceClosed():
            if event.place in standing.places:
                standing.places[event.place].closed = True
        case CultureOpened():
            standing.cultures.setdefault(event.culture, Culture(name=event.culture))
        case WordTaught():
            standing.words[event.word] = event.means
        case Renamed():
            rename(standing, event.old, event.new)
        case BatchOpened():
            batch = standing.batches[event.batch]
            batch.medium = medium_of(event.medium) or batch.medium
            if event.generation:
                call(standing, event.batch, event.generation, at)
            if event.hatched:
                batch.fry_seen = dt.datetime.combine(event.hatched, dt.time(12), dt.UTC)
        case EggsPulled():
            for place in event.spots:
                _chore(standing, place, "pull", at)
                cut_windows(standing, place, at)
        case MopHung():
            _chore(standing, event.place, "mop", at)
            cut_windows(standing, event.place, at)
        case BadEggsRemoved():
            for place in places:
                _chore(standing, place, "pick", at)
            _look(standing, places, at)
        case EggsEyed():
            if entry.batch and entry.batch in standing.batches:
                seen = standing.batches[entry.batch]
                if event.count != 0:
                    seen.eyed = min(seen.eyed, at) if seen.eyed else at
                    seen.eyed_count = event.count
            _look(standing, places, at)
        case FryHatched():
            _hatched(standing, entry)
            _look(standing, places, at)
        case FishMoved():
            if any(p.source and p.target and p.source.stage == "eggs" != p.target.stage for p in entry.postings):
                _hatched(standing, entry)
            if event.to:
                _chore(standing, event.to, "arrival", at)
            merged = standing.batches.get(event.batch or "")
            if event.joins and merged and entry.batch != event.batch and not standing.of_group(merged.name):
                merged.joined = entry.batch
        case WaterChanged():
            for place in places:
                _chore(standing, place, "water", at)
            _look(standing, places, at)
        case ToppedOff():
            for place in places:
                _chore(standing, place, "top off", at)
        case Dosed():
            for place in places:
                _chore(standing, place, f"dose:{event.substance or 'peroxide'}", at)
            key = f"{entry.person}|{event.substance or 'peroxide'}"
            standing.dosed_by[key] = max(standing.dosed_by.get(key, 0), event.amount or 0)
        case Fed():
            for place in places:
                _chore(standing, place, "feed", at)
                if event.food:
                    _chore(standing, place, f"feed:{event.food}", at)
        case Measured():
            if event.value is not None:
                for name in {entry.place or entry.batch or ""}:
                    kept = KEPT_MEASURES if event.quantity in RECKONED_WITH else KEPT_READINGS
                    there = standing.readings.setdefault(name, {})
                    there.setdefault(event.quantity, Readings()).add(at, event.value, kept)
                    _chore(standing, name, f"test:{event.quantity}", at)
                    if event.quantity == "temperature" and at < entry.said:
                        warmth_told_late(standing, name, at)
        case GearServiced():
            for place in places:
                _chore(standing, place, f"service:{event.item}", at)
        case CultureTended():
            culture = standing.cultures.setdefault(event.culture, Culture(name=event.culture))
            match event.action:
                case "start":
                    if culture.started is None or at >= culture.started:
                        culture.started = at
                        culture.crashed = culture.crashed if culture.crashed and culture.crashed > at else None
                case "feed":
                    culture.fed = max(culture.fed or at, at)
                case "harvest":
                    culture.harvested = max(culture.harvested or at, at)
                case "crash":
                    if culture.started is None or at >= culture.started:
                        culture.crashed = max(culture.crashed or at, at)
        case PeatHandled():
            batch_there = standing.batches.get(entry.batch or "")
            if batch_there:
                batch_there.medium = "peat"
                if event.action == "wet":
                    batch_there.wetted = at
                elif event.action == "bag":  # dry again, after a first wetting as well
                    batch_there.wetted, batch_there.bagged = None, at
                    batch_there.peat_weeks = event.weeks if event.weeks is not None else batch_there.peat_weeks
                elif event.weeks:
                    batch_there.peat_weeks = event.weeks
            for place in places:
                _chore(standing, place, f"peat:{event.action}", at)
        case StockArrived():
            if entry.place:
                _chore(standing, entry.place, "arrival", at)
            if event.generation and entry.batch in standing.batches:
                call(standing, entry.batch or "", event.generation, at)
            if event.hatched and entry.batch in standing.batches:
                standing.batches[entry.batch or ""].fry_seen = dt.datetime.combine(event.hatched, dt.time(12), dt.UTC)
        case FishPromised():
            standing.promises.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case FishSold():
            if event.buyer:
                _keep_promises(standing, event.buyer, entry.line or event.line, event.count)
        case PromiseReleased():
            _keep_promises(standing, event.buyer, event.line, event.count)
        case ReminderAsked():
            standing.reminders.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case TaskPutOff():
            standing.put_off.append(Kept(seq=entry.seq, said=entry.said, event=event))
            del standing.put_off[:-100]
        case RoutineSet() if event.what in OF_THE_FISH:
            _say_of_fish(standing, entry, event)
        case RoutineSet():
            standing.settings.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case TaskDone() if event.ends:
            _let_go(standing, event)
        case TaskDone():
            for spot in event.spots or (entry.place or event.batch or "",):
                key = f"{event.task}|{spot}"
                standing.done[key] = max(standing.done.get(key, at), at)
        case HeadsCounted():
            for place in places:
                _chore(standing, place, "count", at)
        case Corrected() | _:
            pass
    if entry.joins and entry.batch and entry.batch in standing.batches:
        standing.batches[entry.batch].joined = entry.joins


def _let_go(standing: Standing, event: TaskDone) -> None:
    """A reminder that is not wanted any more, by its words; what was put off in the same words as well."""
    standing.reminders = [
        k for k in standing.reminders if getattr(k.event, "text", "") != event.task or k.event.place != event.place
    ]
    standing.put_off = [k for k in standing.put_off if getattr(k.event, "task", "") != event.task]


def _say_of_fish(standing: Standing, entry: Entry, event: RoutineSet) -> None:
    """What the keeper says a batch or a line is: its generation, medium, population, species, line, or laying date."""
    batch, line = standing.batches.get(entry.batch or ""), standing.lines.get(event.line or "")
    said = str(event.value or "").strip()
    if not said:
        return
    match event.what:
        case "generation" if entry.place and not batch and not event.line:
            call_there(standing, entry.place, said, entry.at)
        case "generation":
            call(standing, batch.name if batch else event.line or "", said, entry.at)
        case "medium" if batch:
            batch.medium = medium_of(said) or batch.medium
        case "medium" if line:
            line.eggs = medium_of(said) or line.eggs
        case "population" if line:
            line.population = said
        case "species" if line:
            line.species = said
        case "line" if batch:
            batch.line = said
            for holding in standing.of_group(batch.name):
                holding.line = said
            for stay in (s for stays in standing.stays.values() for s in stays if s.group == batch.name):
                stay.line = said
        case "line" if entry.place:  # whoever they turn out to be, they were it before as well
            for stay in standing.stays.get(entry.place, []):
                stay.line = said if stay.line == STRAY else stay.line
            descend_again(standing, entry.place)
        case _:
            pass
    if batch:
        known_better(standing, batch)


def _hatched(standing: Standing, entry: Entry) -> None:
    """The first fry of a batch: from here on there is experience for the next one."""
    batch = standing.batches.get(entry.batch or "")
    if batch is None or (batch.fry_seen and batch.fry_seen <= entry.at):
        return
    since = batch.laid_from or batch.opened
    looked = [t for t in standing.times(entry.place or "", "look") if since <= t < entry.at]
    batch.fry_seen, batch.clear_until = entry.at, looked[-1] if looked else None
    batch.hatched_in = entry.place
    remember(standing, batch)


def _keep_promises(standing: Standing, buyer: str | None, line: str | None, count: int | None) -> None:
    """Close the promise a sale or a cancellation answers: that buyer's, of that line where it says one.

    Of a part of the fish only that part; the rest stays promised.
    """
    for n, kept in enumerate(list(standing.promises)):
        promise = kept.event
        if not isinstance(promise, FishPromised):
            continue
        if buyer and (promise.buyer or "").casefold() != buyer.casefold():
            continue
        if line and promise.line and promise.line != line:
            continue
        if count and promise.count and count < promise.count and not (promise.male or promise.female):
            left = promise.model_copy(update={"count": promise.count - count})
            standing.promises[n] = kept.model_copy(update={"event": left})
        else:
            standing.promises.remove(kept)
        return
