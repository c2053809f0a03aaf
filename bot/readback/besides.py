"""What is said besides the line itself: when fry are to come, alarms, and how a note was booked."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

from bot import sentences as say
from bot.readback.told import Booked
from shared.events import Measured
from shared.hatching.estimate import BatchHatch
from shared.hatching.forecast import forecast
from shared.ledger.booking import Notice
from shared.ledger.standing import Standing
from storage.engine import RoomInfo


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


def when_ready(seen: BatchHatch, earliest: dt.datetime, now: dt.datetime, zone: ZoneInfo) -> str:
    """When eggs that wait for water may be wetted: what is usual in peat, and from when the quickest may be ready."""
    if seen.usual:
        usually = f"usually ready {say.span(*seen.usual, zone)} in peat (common practice, no source)"
        return f"{usually}, the quickest from {say.span(earliest, earliest, zone)}"
    past = earliest <= now
    return f"{'may be ready since' if past else 'not ready before'} {say.span(earliest, earliest, zone)}"


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
        case "two_generations":
            return f"{facts['batch']} is of {say.listed(facts['labels'])} now: say which generation it is to be called."
        case "counted_apart":
            label = f" ({facts['generation']})" if facts["generation"] else ""
            return f"{facts['batch']}{label} is counted apart from the others in {facts['place']}."
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
