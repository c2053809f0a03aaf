"""Gives each event told its day and time, and holds back what does not add up."""

from __future__ import annotations

import datetime as dt

from bot.language.reading import Doubt
from bot.language.telling import Teller
from bot.language.times.days import Clock, Day
from shared.events import Event, event_from


def finished(teller: Teller) -> tuple[Event, ...]:
    """The events with days and times set, checked one last time; what does not hold becomes a question."""
    out: list[Event] = []
    _clocks(teller)
    for raw in teller.events:
        clean = {k: v for k, v in raw.items() if not k.startswith("_")}
        day, ahead = raw.get("_day"), bool(raw.get("_ahead"))
        if isinstance(day, Day):
            date = day.on(teller.sent, ahead)
            if date is not None and (date != teller.sent.date() or clean["kind"] == "fix"):
                if date > teller.sent.date() and not ahead and clean["kind"] not in ("fix",):
                    continue
                clean["date"] = date.isoformat()
        if isinstance(raw.get("_made"), Day):
            made = raw["_made"].on(teller.sent)
            if made:
                clean["made"] = made.isoformat()
        if raw.get("_time"):
            clean["time"] = raw["_time"]
        if isinstance(raw.get("_value_clock"), Clock):
            hour, minute = raw["_value_clock"].options("pm")[0]
            clean["value"] = f"{hour:02d}:{minute:02d}"
        if clean.get("price") and clean["kind"] in PRICED and (foreign := _foreign(teller, clean["price"])):
            clean["currency"] = foreign
        try:
            out.append(event_from(clean))
        except ValueError:
            teller.doubts.append(
                Doubt("", "Something in that does not add up. Could you say it differently?", (), "kind", None)
            )
    return tuple(out)


PRICED = frozenset(("sale", "reserve", "stock_in"))


def _foreign(teller: Teller, price: object) -> str | None:
    """The currency a price was said in, where it is not the room's own."""
    home = teller.names.currency
    said = [t for t in teller.all_tags if t.kind == "money" and t.note != "quoted"]
    units = {t.unit for t in [t for t in said if t.value == price] or said}
    unit = units.pop() if len(units) == 1 else ""
    dollars = unit == "USD" and home not in ("EUR", "GBP")  # a dollar room's own, whichever dollar that is
    return unit if home and unit and unit != home and not dollars else None


def _clocks(teller: Teller) -> None:
    """Settle morning or evening for the clock times of a note, the last said first."""
    later: tuple[dt.date, int] | None = None
    for raw in reversed(teller.events):
        clock = raw.get("_clock")
        if not isinstance(clock, Clock):
            continue
        day = raw.get("_day")
        ahead = bool(raw.get("_ahead"))
        part = day.part if isinstance(day, Day) and day.part in ("am", "pm") else ""
        date = (day.on(teller.sent, ahead) if isinstance(day, Day) else None) or teller.sent.date()
        options = clock.options(part)
        now = teller.sent.hour * 60 + teller.sent.minute
        best: tuple[int, int] | None = None
        if len(options) == 1:
            best = options[0]
        elif ahead:
            fit = [o for o in options if date > teller.sent.date() or o[0] * 60 + o[1] > now]
            day_time = [o for o in fit if 7 <= o[0] <= 21]
            best = (day_time or fit or options)[0]
        else:
            limit = now if date == teller.sent.date() else 24 * 60
            if later is not None and later[0] == date:
                limit = min(limit, later[1])
            fit = [o for o in options if o[0] * 60 + o[1] <= limit + 5]
            best = (fit or options)[-1] if fit else options[0]
        if not ahead and day is None and best[0] * 60 + best[1] > now + 60 and now < 13 * 60:
            raw["_day"] = Day(-1)
        if not ahead:
            later = (date, best[0] * 60 + best[1])
        raw["_time"] = f"{best[0]:02d}:{best[1]:02d}"
