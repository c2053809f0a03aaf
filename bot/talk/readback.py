"""The read-back: what was taken down, in few words: place, fact, what is left, next thing."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from bot import sentences as say
from bot.routine.shown import changes, name_of
from shared.due.tasks import task_meant
from shared.events import (
    BadEggsRemoved,
    BatchOpened,
    Corrected,
    CultureOpened,
    CultureTended,
    Dosed,
    EggsEyed,
    EggsPulled,
    Event,
    Fed,
    FishDied,
    FishMoved,
    FishPromised,
    FishRefunded,
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
    Remarked,
    ReminderAsked,
    Renamed,
    RoutineSet,
    StockArrived,
    TaskDone,
    TaskPutOff,
    ToppedOff,
    Undone,
    WaterChanged,
    WordTaught,
)
from shared.hatching.estimate import BatchHatch
from shared.hatching.forecast import forecast
from shared.ledger.booking import Booking, Notice
from shared.ledger.standing import OF_THE_FISH, Entry, Standing, cause_of
from storage.engine import RoomInfo


@dataclass(frozen=True)
class Booked:
    """One event of a note with what became of it."""

    event: Event
    booking: Booking
    entries: tuple[Entry, ...]


def window_line(standing: Standing, batch: str, now: dt.datetime, info: RoomInfo) -> str | None:
    """`Fry about 21–26 Mar (76 °F, 9 earlier batches).`, or why no date is given; None when no eggs are waited for."""
    zone, kept = info.zone, standing.batches.get(batch)
    if kept is None or kept.fry_seen is not None or kept.laid_from is None:
        return None
    if not any(h.stage == "eggs" and (h.count or not h.counted) for h in standing.of_group(batch)):
        return None
    seen = forecast(standing, batch, now)
    if seen is None:
        return None
    if seen.first_fry is None:
        if seen.earliest:
            return f"{say.first_up(when_ready(seen, seen.earliest, now, zone))}; look for gold-ringed eyes first."
        return "No hatch date: no figures for this fish yet."
    if seen.past_window:
        return "Past its window: look at the eggs; white or clear ones come out."
    first = seen.first_fry
    if seen.lent_c is not None:
        basis = f"{say.temperature(round(seen.lent_c, 1), info.units)} as in the other tanks"
    else:
        basis = "no temperature logged" if seen.temp_c is None else say.temperature(round(seen.temp_c, 1), info.units)
    if seen.earlier_batches:
        basis += f", {say.count(seen.earlier_batches, 'earlier batch', 'earlier batches')}"
    return f"Fry about {say.span(first.p10, first.p90, zone)} ({basis})."


def alarms(booked: Booked, info: RoomInfo) -> list[str]:
    """What comes before everything else."""
    out = []
    for notice in booked.booking.notices:
        if notice.remark == "many_losses":
            out.append("That is many for one day: test ammonia, change water.")
        if notice.remark == "at_odds":
            was = say.reading(notice.facts["quantity"], notice.facts["value"], info.units)
            when = say.moment(notice.facts["at"], info.zone, notice.facts["at"])
            out.append(
                f"{notice.facts['place']} read {was} ({when}): water does not change so fast, one of the two is wrong. "
                "Measure again; “undo” takes this one back."
            )
    event = booked.event
    if isinstance(event, Measured) and event.value is not None:
        where = event.place or event.batch or (say.places(event.places) if event.places else "")
        if event.quantity in ("ammonia", "nitrite") and event.value >= 0.25:
            out.append(f"{event.quantity.capitalize()} in {where}: change half the water, feed nothing, test again.")
        if event.quantity == "temperature" and not 16 <= event.value <= 31:
            out.append(f"{say.temperature(event.value, info.units)} in {where}: check the heater, with dry hands.")
    return out


def notices(booked: Booked) -> list[str]:
    """What the keeper should hear about how it was booked."""
    out = []
    for notice in booked.booking.notices:
        sentence = _notice(notice, booked.booking.drafts[0].at if booked.booking.drafts else None)
        if sentence:
            out.append(sentence)
    return out


def _notice(notice: Notice, at: dt.datetime | None = None) -> str | None:
    facts = notice.facts
    match notice.remark:
        case "found":
            if facts["count"] is None:
                return None
            return f"{facts['count']} more than the record knew of; noted as found."
        case "other_line":
            return f"Careful: {facts['place']} also holds {say.listed(facts['lines'])}."
        case "same_species":
            caution = f" {facts['caution']}" if facts["caution"] else ""
            return f"Careful: {facts['place']} also holds {facts['other']}, the same species.{caution}"
        case "two_lines":
            return f"Careful: {facts['batch']} may be of {say.listed(facts['lines'])}; label it so until you know."
        case "shared":
            booked = say.listed(f"{n} to {group}" for group, n in facts["booked"].items())
            return f"Booked {booked}, by their numbers; name a batch to book it to that one."
        case "mixed":
            zone = at.tzinfo if at else None
            days = say.listed(say.day(seen.astimezone(zone)) for seen in facts["hatched"].values())
            ages = f" (hatched {days})" if len(facts["hatched"]) == len(facts["groups"]) else ""
            return (
                f"{facts['place']} now holds {say.listed(facts['groups'])}{ages}; losses there are shared by numbers."
            )
        case "sex_not_said":
            return f"Which sex was not said: at least {facts['male']} m and {facts['female']} f are left."
        case "no_lay_date":
            return f"Nobody said when {facts['batch']} was laid, so there is no hatch date."
        case "not_identified":
            return f"Unknown fish in {facts['place']}: no breeders until you know what they are."
        case "estimated_now" if facts.get("held") is not None:
            return f"The record only had about {facts['held']}; now {facts['count']}."
        case "joined":
            return None
        case "nothing_on_record":
            where = f" in {facts['place']}" if facts.get("place") else ""
            return f"Noted, but the record knew of no {facts['what']}{where}."
        case "still_in_use":
            return f"{facts['place']} still holds {say.listed(facts['groups'])}: say where they went."
        case "implied_hatch":
            return "Taken as hatched."
        case "estimated_now" | "many_losses" | "at_odds":
            return None


def _left_of_shared(booked: Booked, entry: Entry | None, standing: Standing) -> tuple[str, int] | None:
    """The batches of a mixed group and how many are left of them there, where an event was shared over them."""
    shared = next((n.facts for n in booked.booking.notices if n.remark == "shared"), None)
    if shared is None or entry is None:
        return None
    held = [h for h in standing.fish_at(entry.place or "") if h.group in shared["groups"]]
    return say.listed(shared["groups"]), sum(h.count for h in held)


def _left(standing: Standing, group: str, place: str | None, stage: str) -> str:
    held = [h for h in standing.of_group(group) if h.place == (place or "") and h.stage == stage]
    if not held:
        return "none left"
    if held[0].number is None:
        return ""
    about = "about " if held[0].estimated else ""
    return f"{about}{say.number(held[0].count)} left"


def line_for(booked: Booked, standing: Standing, info: RoomInfo, now: dt.datetime) -> str:
    """One event read back in one line (two for fresh eggs)."""
    entries = booked.entries
    zone = info.zone
    spots = say.places([e.place for e in entries if e.place])
    entry = entries[0] if entries else None
    when = ""
    if entry and abs((now - entry.at).total_seconds()) > 3600:
        when = f" ({say.moment(entry.at, zone, now)})"
    text = _text(booked, entry, spots, standing, info, now)
    return f"{text}{when}." if not text.endswith((".", "!", "?")) else text


def _text(booked: Booked, entry: Entry | None, spots: str, standing: Standing, info: RoomInfo, now: dt.datetime) -> str:
    event = booked.event
    batch = entry.batch if entry else None
    match event:
        case EggsPulled():
            where = say.places(event.spots) or (batch or "")
            if event.count == 0:
                return f"{where}: no eggs"
            about = "about " if event.estimated and event.count is not None else ""
            line = f", {entry.line}" if entry and entry.line and entry.line != "unknown" else ""
            joined = "Joins" if any(n.remark == "joined" for n in booked.booking.notices) else "Batch"
            into = f" in {event.to}" if event.to else ""
            return f"{where}: {about}{say.count(event.count, 'egg')}{line}. {joined} {batch}{into}"
        case BadEggsRemoved():
            left = _left(standing, batch, entry.place if entry else None, "eggs") if batch else ""
            bad = "bad eggs" if event.count is None else say.count(event.count, "bad egg")
            if event.count == 0:
                return f"{_where(entry, event.spots)}: no bad eggs{f' ({batch})' if batch else ''}"
            tail = f", {left}" if left else ""
            return f"{_where(entry, event.spots)}: {bad} out{tail}{f' ({batch})' if batch else ''}"
        case EggsEyed():
            seen = "eyed" if event.count is None else ("none eyed yet" if event.count == 0 else f"{event.count} eyed")
            return f"{_where(entry, event.spots)}: {seen}{f' ({batch})' if batch else ''}"
        case FryHatched():
            left = _left(standing, batch, entry.place if entry else None, "eggs") if batch else ""
            fry = "fry hatched" if event.count is None else f"{say.fish(event.count, 'fry')} hatched"
            eggs = f", {left.replace(' left', '')} eggs left" if left and left != "none left" else ""
            return f"{_where(entry, event.spots)}: {fry}{eggs}{f' ({batch})' if batch else ''}"
        case FishMoved():
            return _moved(event, entry, standing, _left_of_shared(booked, entry, standing))
        case FishDied():
            cause = cause_of(event.cause)
            died = (
                f"{event.count} {'dead' if cause == 'found' else cause}" if event.count is not None else "losses noted"
            )
            group = batch or (entry.line if entry else None) or ""
            fish = [h for h in standing.of_group(group) if entry and h.place == (entry.place or "")]
            live = [h for h in fish if h.stage != "eggs"]
            left = f", {say.number(live[0].count)} left" if live and live[0].number is not None else ""
            if entry and entry.postings and not live:
                left = ", none left"
            if mixed := _left_of_shared(booked, entry, standing):
                group, left = mixed[0], f", {say.number(mixed[1])} left"
            return f"{_where(entry, event.spots)}: {died}{left}{f' ({group})' if group else ''}"
        case HeadsCounted():
            total = event.count if event.count is not None else (event.male or 0) + (event.female or 0)
            sexes = f" ({event.male or 0} m, {event.female or 0} f)" if event.male or event.female else ""
            about = "about " if event.estimated else ""
            if event.difference:
                return f"{_where(entry, event.spots)}: {total} there now, the rest unaccounted for"
            return f"{_where(entry, event.spots)}: {about}{total} counted{sexes}{f' ({batch})' if batch else ''}"
        case WaterChanged():
            much = f" {say.number(round(event.percent, 1))} %" if event.percent is not None else ""
            if event.litres is not None:
                much += f" {say.volume(event.litres, info.units, info.gallon)}"
            return f"{spots or 'water'}: water changed{much}"
        case ToppedOff():
            return f"{spots}: topped off"
        case Dosed():
            amount = f" {say.number(event.amount)} {event.unit or ''}".rstrip() if event.amount is not None else ""
            if event.amount not in (None, 1) and event.unit == "drop":
                amount += "s"
            return f"{spots or 'noted'}: {event.substance or 'peroxide'}{amount}"
        case Fed():
            return f"{spots}: fed{f' {event.food}' if event.food else ''}"
        case Measured():
            where = spots or event.batch or "room"
            if event.value is None:
                return f"{where}: {event.quantity} noted, no figure"
            return f"{where}: {say.reading(event.quantity, event.value, info.units)}"
        case MopHung():
            return f"{event.place}: mop in"
        case StockArrived():
            price = f", {money(event.price, info, event.currency)}" if event.price else ""
            who = f" from {event.source}" if event.source else ""
            sexes = f" ({event.male or 0} m, {event.female or 0} f)" if event.male or event.female else ""
            heads = event.count if event.count is not None else (event.male or 0) + (event.female or 0) or None
            of_line = entry.line if entry and entry.line else event.line
            origin = f" {event.population}" if event.population and event.population not in (of_line or "") else ""
            label = f" {event.generation}" if event.generation else ""
            what = f"{say.fish(heads, event.stage or 'fish')} {of_line}{origin}{label}{sexes}"
            return f"{event.place or 'arrived'}: {what}{who}{price}{f'. Batch {batch}' if batch else ''}"
        case FishSold():
            what = f"{say.number(event.count)} {entry.line or 'fish' if entry else 'fish'}" if event.count else "fish"
            verb = "Gave away" if event.price == 0 else "Sold"
            who = f" to {event.buyer}" if event.buyer else ""
            who += f" ({event.to})" if event.to and event.buyer else f" to {event.to}" if event.to else ""
            price = f", {money(event.price, info, event.currency)}" if event.price else ""
            price += f" and {money(event.shipping, info)} for shipping" if event.shipping else ""
            sold_from = batch or (entry.line if entry else None)
            left = (
                _left(standing, sold_from, entry.place, "juveniles") if entry and sold_from and entry.postings else ""
            )
            if mixed := _left_of_shared(booked, entry, standing):
                batch, left = mixed[0], f"{say.number(mixed[1])} left"
            return f"{verb} {what}{who}{price}{f'; {left} ({batch})' if left and batch else ''}"
        case FishRefunded():
            if event.price is None:
                return f"{event.buyer}: {event.count or 'some'} dead on arrival"
            return f"{event.buyer}: {money(event.price, info)} back"
        case FishPromised():
            who = f" for {event.buyer}" if event.buyer else ""
            till = f", wanted {say.day(event.date)}" if event.date else ""
            many = f"{say.number(event.count)} " if event.count is not None else ""
            price = f", {money(event.price, info, event.currency)}" if event.price is not None else ""
            return f"Kept{who}: {many}{event.line or event.batch or 'fish'}{price}{till}"
        case PromiseReleased():
            freed = f"{event.count or ''} {event.line or event.batch or 'the fish'}".strip()
            return f"Released: {freed}{f' ({event.buyer})' if event.buyer else ''}"
        case CultureTended():
            did = {"start": "started", "feed": "fed", "harvest": "harvested", "crash": "crashed"}[event.action]
            return f"{event.culture}: {did}"
        case GearServiced():
            return f"{spots}: {event.item} done"
        case PeatHandled():
            did = {"collect": "peat out, drying", "bag": "peat bagged", "wet": "peat wetted"}[event.action]
            kept = event.weeks if event.action != "wet" else None
            weeks = f" for {say.number(kept)} week{'s' * (kept != 1)}" if kept else ""
            return f"{batch or event.place or event.line}: {did}{weeks}"
        case PlaceOpened():
            size = f", {say.volume(event.litres, info.units, info.gallon)}" if event.litres else ""
            return f"{event.place} set up{size}{f', {event.role}' if event.role else ''}"
        case PlaceClosed():
            return f"{event.place} taken out of use"
        case RoutineSet():
            where = event.place or event.line or event.batch or say.places(event.places) or "the room"
            value = "" if event.value is None else f" {event.value}"
            if event.what in OF_THE_FISH:
                return f"{batch or where}: {event.what}{value}"
            return "; ".join(changes([event], now)) or f"Routine for {where}: {event.what.replace('_', ' ')}{value}"
        case ReminderAsked():
            local = now.astimezone(info.zone)
            when = say.day(event.date, local.date()) if event.date else ""
            if not event.date and event.time and not event.every_days:
                when = "today" if event.time > f"{local:%H:%M}" else "tomorrow"
            clock = f" {event.time}" if event.time else ""
            again = f"{', then' if event.date else ''} {_every(event.every_days)}" if event.every_days else ""
            return f"Will remind {when}{clock}{again}: {event.text}".replace("  ", " ")
        case TaskDone():
            return f"Reminder dropped: {event.task}" if event.ends else f"Done: {event.task}"
        case TaskPutOff():
            till = say.day(event.date, now.astimezone(info.zone).date()) if event.date else "later"
            meant = task_meant(event.task)
            if meant and (event.place or event.batch):
                clock = f" {event.time}" if event.time else ""
                return f"Put off to {till}{clock}: {name_of(meant)} {event.place or event.batch}"
            return (
                f"Put off to {till}{f' {event.time}' if event.time else ''}: "
                f"{name_of(event.task)}{f' {event.place}' if event.place else ''}".rstrip(": ")
            )
        case Remarked():
            return f"Noted{f' for {spots}' if spots else ''}"
        case LineOpened():
            return f"line {event.line}{f' ({event.species})' if event.species else ''}"
        case BatchOpened():
            about = "about " if event.estimated and event.count else ""
            return f"{event.batch}: {about}{say.fish_of(event.count, event.line, event.stage)} in {event.place}"
        case CultureOpened():
            return f"{event.culture}: kept here now"
        case WordTaught():
            return f"“{event.word}” means {event.means}"
        case Renamed():
            return f"{event.old} is called {event.new} from now on; “{event.old}” still finds it"
        case Undone() | Corrected():
            return "taken back"


def _every(days: float) -> str:
    return "daily" if days == 1 else f"every {days:g} days"


def _where(entry: Entry | None, spots: tuple[str, ...]) -> str:
    return (entry.place if entry else None) or say.places(spots) or (entry.batch if entry else None) or "Noted"


def _moved(event: FishMoved, entry: Entry | None, standing: Standing, mixed: tuple[str, int] | None = None) -> str:
    batch = entry.batch if entry else None
    group = batch or (entry.line if entry else None) or event.line or "fish"
    heads = (event.male or 0) + (event.female or 0) or None
    number = event.count if event.count is not None else heads
    if event.joins == "new":
        return f"{event.batch}: {say.number(number) if number else 'all'} split off as {batch}"
    if event.joins:
        some = f"{say.number(number)} of " if number else ""
        return f"{some}{event.batch} {'are' if some else 'is'} now part of {event.joins}"
    how = "all" if number is None else say.number(number)
    if event.batch and batch and event.batch != batch:  # it joined another batch before
        return f"{event.batch}: {how} to {event.to}, with {batch}"
    source = entry.place if entry else event.source
    path = f" from {source}" if source and source != event.to else ""
    left = [h for h in standing.of_group(group) if h.place == (source or "")]
    stays = f". {say.listed(say.fish(h.number, h.stage) for h in left)} left in {source}" if left and source else ""
    if mixed and number is not None:
        group, stays = mixed[0], f". {mixed[1]} left in {source}"
    if source == event.to:
        stays = ""
    return f"{group}: {how}{path} to {event.to}{stays}"


def when_ready(seen: BatchHatch, earliest: dt.datetime, now: dt.datetime, zone: ZoneInfo) -> str:
    """When eggs that wait for water may be wetted: what is usual in peat, and from when the quickest may be ready."""
    if seen.usual:
        usually = f"usually ready {say.span(*seen.usual, zone)} in peat (common practice, no source)"
        return f"{usually}, the quickest from {say.span(earliest, earliest, zone)}"
    past = earliest <= now
    return f"{'may be ready since' if past else 'not ready before'} {say.span(earliest, earliest, zone)}"


def money(amount: float | None, info: RoomInfo, other: str | None = None) -> str:
    """A price in the room's currency, or with the code of another it was said in."""
    if other and other != info.currency:
        return f"{say.number(amount or 0)} {other}"
    sign = info.currency or ("$" if info.units == "us" else "")
    return f"{sign}{say.number(amount or 0)}"
