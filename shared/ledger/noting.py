"""What an entry changes beside the numbers: the room, chores done, readings, cultures, promises, dates of a batch."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from shared.events import (
    BatchOpened,
    CultureOpened,
    CultureTended,
    Dosed,
    EggsEyed,
    EggsPulled,
    FishMoved,
    FishPromised,
    FishSold,
    FryHatched,
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
    WordTaught,
)
from shared.kin.descent import call, call_there, cut_windows, descend_again
from shared.kin.lineage import STRAY
from shared.ledger.accounts import (
    KEPT_MEASURES,
    KEPT_READINGS,
    OF_THE_FISH,
    RECKONED_WITH,
    Batch,
    Culture,
    Entry,
    Kept,
    Line,
    Place,
    Readings,
    medium_of,
)
from shared.ledger.chores import note_chores, note_look
from shared.ledger.past_hatches import known_better, remember, warmth_told_late
from shared.ledger.renaming import rename

if TYPE_CHECKING:
    from shared.ledger.standing import Standing


def note(standing: Standing, entry: Entry) -> None:
    """What an entry changes beside the numbers."""
    note_chores(standing, entry)
    _note_event(standing, entry)
    note_look(standing, entry)
    if entry.joins and entry.batch and entry.batch in standing.batches:
        standing.batches[entry.batch].joined = entry.joins


def _note_event(standing: Standing, entry: Entry) -> None:
    match entry.event:
        case LineOpened() as event:
            _line_opened(standing, event, entry.at)
        case PlaceOpened() as event:
            _place_opened(standing, event)
        case PlaceClosed() as event:
            if event.place in standing.places:
                standing.places[event.place].closed = True
        case CultureOpened() as event:
            standing.cultures.setdefault(event.culture, Culture(name=event.culture))
        case WordTaught() as event:
            standing.words[event.word] = event.means
        case Renamed() as event:
            rename(standing, event.old, event.new)
        case BatchOpened() as event:
            _batch_opened(standing, event, entry.at)
        case EggsPulled() as event:
            for spot in event.spots:
                cut_windows(standing, spot, entry.at)
            if event.medium and (batch := standing.batches.get(entry.batch or "")):
                _kept_in(batch, event.medium, entry.at)
        case MopHung() as event:
            cut_windows(standing, event.place, entry.at)
        case EggsEyed() as event:
            _eyed(standing, entry, event)
        case FryHatched():
            _hatched(standing, entry)
        case FishMoved() as event:
            _moved(standing, entry, event)
        case Dosed() as event:
            key = f"{entry.person}|{event.substance or 'peroxide'}"
            standing.dosed_by[key] = max(standing.dosed_by.get(key, 0), event.amount or 0)
        case Measured() as event:
            _measured(standing, entry, event)
        case CultureTended() as event:
            _culture_tended(standing, event, entry.at)
        case PeatHandled() as event:
            _peat_handled(standing, entry, event)
        case StockArrived() as event:
            _arrived(standing, entry, event)
        case FishSold() as event if event.buyer:
            _keep_promises(standing, event.buyer, entry.line or event.line, event.count)
        case PromiseReleased() as event:
            _keep_promises(standing, event.buyer, event.line, event.count)
        case FishPromised() as event:
            standing.promises.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case ReminderAsked() as event:
            standing.reminders.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case TaskPutOff() as event:
            standing.put_off.append(Kept(seq=entry.seq, said=entry.said, event=event))
            del standing.put_off[:-100]
        case RoutineSet() as event if event.what in OF_THE_FISH:
            _say_of_fish(standing, entry, event)
        case RoutineSet() as event:
            standing.settings.append(Kept(seq=entry.seq, said=entry.said, event=event))
        case TaskDone() as event:
            _task_done(standing, entry, event)
        case _:
            pass


# ---- the room


def _line_opened(standing: Standing, event: LineOpened, at: dt.datetime) -> None:
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


def _place_opened(standing: Standing, event: PlaceOpened) -> None:
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


def _vessel(name: str) -> str:
    """The sort of place a name tells of, a tank where it tells nothing."""
    first = name.split()[0].lower() if name.split() else ""
    return first if first in ("tank", "tub", "jar", "bag", "bowl", "box", "bucket") else "tank"


def _measured(standing: Standing, entry: Entry, event: Measured) -> None:
    if event.value is None:
        return
    name = entry.place or entry.batch or ""
    kept = KEPT_MEASURES if event.quantity in RECKONED_WITH else KEPT_READINGS
    there = standing.readings.setdefault(name, {})
    there.setdefault(event.quantity, Readings()).add(entry.at, event.value, kept)
    if event.quantity == "temperature" and entry.at < entry.said:
        warmth_told_late(standing, name, entry.at)


def _culture_tended(standing: Standing, event: CultureTended, at: dt.datetime) -> None:
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


def _task_done(standing: Standing, entry: Entry, event: TaskDone) -> None:
    if event.ends:
        _let_go(standing, event)
        return
    for spot in event.spots or (entry.place or event.batch or "",):
        key = f"{event.task}|{spot}"
        standing.done[key] = max(standing.done.get(key, entry.at), entry.at)


def _let_go(standing: Standing, event: TaskDone) -> None:
    """A reminder that is not wanted any more, by its words; what was put off in the same words as well."""
    standing.reminders = [
        k for k in standing.reminders if getattr(k.event, "text", "") != event.task or k.event.place != event.place
    ]
    standing.put_off = [k for k in standing.put_off if getattr(k.event, "task", "") != event.task]


# ---- eggs and fish


def _batch_opened(standing: Standing, event: BatchOpened, at: dt.datetime) -> None:
    batch = standing.batches[event.batch]
    batch.medium = medium_of(event.medium) or batch.medium
    if event.generation:
        call(standing, event.batch, event.generation, at)
    if event.hatched:
        batch.fry_seen = _noon(event.hatched)


def _arrived(standing: Standing, entry: Entry, event: StockArrived) -> None:
    batch = standing.batches.get(entry.batch or "")
    if batch is None:
        return
    if event.generation:
        call(standing, batch.name, event.generation, entry.at)
    if event.hatched:
        batch.fry_seen = _noon(event.hatched)


def _noon(day: dt.date) -> dt.datetime:
    return dt.datetime.combine(day, dt.time(12), dt.UTC)


def _eyed(standing: Standing, entry: Entry, event: EggsEyed) -> None:
    batch = standing.batches.get(entry.batch or "")
    if batch and event.count != 0:
        batch.eyed = min(batch.eyed, entry.at) if batch.eyed else entry.at
        batch.eyed_count = event.count


def _moved(standing: Standing, entry: Entry, event: FishMoved) -> None:
    if any(p.source and p.target and p.source.stage == "eggs" != p.target.stage for p in entry.postings):
        _hatched(standing, entry)
    merged = standing.batches.get(event.batch or "")
    if event.joins and merged and entry.batch != event.batch and not standing.of_group(merged.name):
        merged.joined = entry.batch


def _kept_in(batch: Batch, words: str, at: dt.datetime) -> None:
    """What a batch's eggs lie in from now on; put up in peat they count from there."""
    before, batch.medium = batch.medium, medium_of(words) or batch.medium
    if batch.medium == "peat" and before != "peat":
        batch.bagged = at


def _peat_handled(standing: Standing, entry: Entry, event: PeatHandled) -> None:
    batch = standing.batches.get(entry.batch or "")
    if batch is None:
        return
    batch.medium = "peat"
    if event.action == "wet":
        batch.wetted = entry.at
    elif event.action == "bag":  # dry again, after a first wetting as well
        batch.wetted, batch.bagged = None, entry.at
        batch.peat_weeks = event.weeks if event.weeks is not None else batch.peat_weeks
    elif event.weeks:
        batch.peat_weeks = event.weeks


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
            _kept_in(batch, said, entry.at)
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
