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
    """Settle morning or evening for the clock times of a note, day by day."""
    now = teller.sent.hour * 60 + teller.sent.minute
    told: dict[dt.date, list[tuple[dict[str, object], list[int]]]] = {}
    for raw in teller.events:
        clock, day, ahead = raw.get("_clock"), raw.get("_day"), bool(raw.get("_ahead"))
        if not isinstance(clock, Clock):
            continue
        part = day.part if isinstance(day, Day) and day.part in ("am", "pm") else ""
        date = (day.on(teller.sent, ahead) if isinstance(day, Day) else None) or teller.sent.date()
        options = [hour * 60 + minute for hour, minute in clock.options(part)]
        if ahead:
            raw["_time"] = _written(_to_come(options, None if date > teller.sent.date() else now))
        else:
            told.setdefault(date, []).append((raw, options))
    for date, its in told.items():
        today = date == teller.sent.date()
        kinds = [str(raw["kind"]) for raw, _ in its]
        best = _likeliest([options for _, options in its], kinds, now if today else None)
        for (raw, _), at in zip(its, best, strict=True):
            raw["_time"] = _written(at)
            if raw.get("_day") is None and at > now + _SOON and now < _NOT_YET:
                raw["_day"] = Day(-1)


_SOON, _NOT_YET = 60, 13 * 60  # told before one o'clock of a time over an hour ahead: yesterday's
_MORNING, _NIGHT = 7 * 60, 22 * 60  # when something to come may be done
_UP, _ABED = 5 * 60, 23 * 60  # a time outside of these is unlikely
_AS_GOOD_AS = 5  # minutes that two clocks may differ by


def _written(at: int) -> str:
    return f"{at // 60:02d}:{at % 60:02d}"


def _to_come(options: list[int], now: int | None) -> int:
    """When something is to be done: not before now, and by day where it may be."""
    if len(options) == 1:
        return options[0]
    fit = [at for at in options if now is None or at > now]
    return ([at for at in fit if _MORNING <= at < _NIGHT] or fit or options)[0]


def _likeliest(told: list[list[int]], kinds: list[str], now: int | None) -> list[int]:
    """The times of one day as they were most likely meant: one after the other, not to come, not in the small hours.

    Of what is as likely the latest is taken, as most is told of soon after. `now` is there when the day is today.
    """
    ways: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]  # times last to first and negative: the least is the latest
    for n, options in enumerate(told):
        again = n > 0 and kinds[n] == kinds[n - 1]
        ways = [
            min((cost + _unlikely(at, options, now) + _goes_back(at, way, again), (-at, *way)) for cost, way in ways)
            for at in options
        ]
    return [-at for at in reversed(min(ways)[1])]


def _unlikely(at: int, options: list[int], now: int | None) -> float:
    if len(options) == 1:
        return 0.0
    if now is None:
        return 3.0 if at < _UP else 0.5 if at >= _ABED else 0.0
    if at > now + _AS_GOOD_AS:
        return 2.0 if at <= now + _SOON else 5.0
    return 3.0 if at < _UP <= now else 0.0


def _goes_back(at: int, way: tuple[int, ...], again: bool) -> float:
    """How unlikely a time before the one told last is, the more so where both are of one kind."""
    back = bool(way) and at < -way[0] - _AS_GOOD_AS
    return (1.5 if again else 1.0) if back else 0.0
