"""How full a tank or tub is, by the record or by the question's own numbers."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass, field

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure
from bot.sums.growth import measured_of, species_of
from shared.due.house_rules import Routine
from shared.due.rules import Spot
from shared.husbandry.crowding import crowding as crowding_of
from shared.husbandry.growth import length_at
from shared.ledger.standing import Holding, Place
from shared.quantities import PRACTICE, Figure

_DAYS_LOOKED_BACK = 14


def _exchange(s: Sum, place: str, kind: str, role: str | None) -> tuple[float, float, str]:
    """Changes a day, their mean percentage, and where that comes from: the record, else the routine."""
    now = s.ask.now
    begun = s.standing.begun or now
    since = max(now - dt.timedelta(days=_DAYS_LOOKED_BACK), begun)
    days = max(1.0, (now - since).total_seconds() / 86400)
    litres = s.standing.places[place].litres or 0.0
    routine, spot = Routine.of(s.standing), Spot(place, kind)
    if kind == "tub":
        usual, each = 100.0, routine.number("fry_changes_per_day", spot, now.date(), now)
    else:
        key = {"grow-out": "grow_out", "nursery": "nursery"}.get(role or "", "")
        usual = routine.number(f"{key or 'adult'}_change_percent", spot, now.date(), now)
        every = routine.number(f"{key}_change_days" if key else "water_change_days", spot, now.date(), now)
        each = 1 / every if every > 0 else 0.0
    entries = s.ask.book.entries(name=place, kinds=("water_change",), since=since)
    if not entries:
        return each, usual, f"no changes on record in {days:.0f} days, so by the routine"
    sizes, unsaid = [], 0
    for entry in entries:
        percent = getattr(entry.event, "percent", None)
        volume = getattr(entry.event, "litres", None)
        if percent is None and volume is not None and litres:
            percent = min(100.0, 100 * volume / litres)
        unsaid += percent is None
        sizes.append(usual if percent is None else percent)
    said = f"{say.count(len(entries), 'change')} on record in {days:.0f} days"
    if unsaid:
        said += f", {unsaid} of unsaid size taken as {usual:g} %"
    return min(12.0, len(entries) / days), sum(sizes) / len(sizes), said


def _rhythm(each: float, percent: float) -> str:
    """`3 × 50 % a day`, `40 % every 3 days`, `no water`."""
    if not each:
        return "no water"
    if each < 1:
        return f"{percent:.0f} % every {figure(round(1 / each, 1))} days"
    return f"{percent:.0f} % a day" if each == 1 else f"{figure(round(each, 1))} × {percent:.0f} % a day"


def _length_of(s: Sum, held: Holding) -> tuple[Figure | float, str] | None:
    """How long a group's fish are now: as measured lately, else by age; None for grown fish nobody measured."""
    batch, now = s.standing.batches.get(held.group), s.ask.now
    hatched = batch.fry_seen if batch else None
    measured = measured_of(s, held.group, hatched) if hatched else []
    latest = s.standing.latest(held.group, "length") or s.standing.latest(held.place, "length")
    if hatched:
        found = length_at(species_of(s, held.line), (now - hatched).total_seconds() / 86400, measured)
        return found, "measured here" if measured else "by age"
    return (latest.value, "measured here") if latest else None


_COMING = r"\b(?:more|another|extra|add\w*|put|move|fit|room|go in|if)\b"


def crowding(s: Sum) -> Answer:
    """How full a tank or tub is, by counts, lengths and water changes, the question's numbers before the record's."""
    place = s.standing.places.get(s.ask.query.place or "")
    count, mm, litres = s.number("count"), s.number("length"), s.number("litres")
    if place is None:
        return _crowding_in_words(s, count, mm, litres)
    litres = litres or place.litres
    if litres is None:
        return Answer(f"How much water is in {place.name}? Without it nothing can be said of room.")
    held = [h for h in s.standing.fish_at(place.name) if h.number != 0]
    if not held and count is None:
        if mm is not None:
            return _crowding_in_words(s, count, mm, litres)
        return Answer(f"{place.name} holds no fish on record.")
    blank = [h for h in held if not h.counted]
    if blank:
        return Answer(
            f"{say.listed(dict.fromkeys(h.group for h in blank))} in {place.name} are not counted; count them first."
        )
    fish = _Fish()
    for h in held:
        found = (mm, "as said") if mm is not None else _length_of(s, h)
        if found is None:
            return Answer(
                f"How long are the {h.line} in {place.name}? Say it like “{place.name} 30 mm”, then ask again."
            )
        fish.add(h.count, found[0])
        fish.hows.append(found[1])
    if count is not None and held and not s.says(_COMING):  # "crowded with 31 fry": what the keeper counts there now
        fish.number_is(count)
    elif count is not None:  # "with 30 more", "can I put 30 fry in tub E"
        each_mm = mm if mm is not None else fish.mean().value if fish.number else None
        if each_mm is None:
            return Answer("How long are they? Say it like “30 fry of 8 mm in tub E”.")
        fish.add(int(count), each_mm)
    return _fullness(s, place, litres, fish)


@dataclass
class _Fish:
    """So many fish by the squares of their lengths in mm, which is what they take of the water."""

    number: int = 0
    squares: float = 0.0
    low: float = 0.0
    high: float = 0.0
    hows: list[str] = field(default_factory=list)

    def add(self, count: int, size: Figure | float) -> None:
        middle = size.value if isinstance(size, Figure) else size
        self.number, self.squares = self.number + count, self.squares + count * middle**2
        self.low += count * ((size.low if isinstance(size, Figure) else None) or 0.9 * middle) ** 2
        self.high += count * ((size.high if isinstance(size, Figure) else None) or 1.1 * middle) ** 2

    def number_is(self, count: float) -> None:
        """As many as that, of the sizes they are."""
        self.squares, self.low, self.high = (x * count / self.number for x in (self.squares, self.low, self.high))
        self.number = int(count)

    def mean(self) -> Figure:
        value, low, high = (math.sqrt(x / self.number) for x in (self.squares, self.low, self.high))
        return Figure(value=value, low=low, high=high, unit="mm", basis="")


def _fullness(s: Sum, place: Place, litres: float, fish: _Fish) -> Answer:
    mean, hows = fish.mean(), list(dict.fromkeys(fish.hows))
    each, percent, changed = _exchange(s, place.name, place.kind, place.role)
    full = crowding_of(fish.number, mean, litres, each, percent, filtered=place.kind != "tub")
    volume = say.volume(litres, s.info.units, s.info.gallon)
    sizes = f"about {mean.value:.0f} mm ({', '.join(hows)})" if hows else f"{mean.value:.0f} mm"
    text = (
        f"{place.name} ({volume}) with {say.count(fish.number, 'fish', 'fish')} of {sizes}: {full.band}, "
        f"{100 * full.value:.0f} % of full ({100 * (full.low or 0):.0f}–{100 * (full.high or 0):.0f} %).\n"
        f"About {full.most} of that size would fill it; {changed}: {_rhythm(each, percent)}."
    )
    return Answer(text, why=because(full))


def _crowding_in_words(s: Sum, count: float | None, mm: float | None, litres: float | None) -> Answer:
    """How full with the question's own numbers alone."""
    if litres is None or mm is None:
        return Answer(
            "Say how many, how long and how much water, like “50 fry of 10 mm in 5.5 gallons”, or name a tank."
        )
    tub = litres < 8
    percent, each = s.number("percent"), 3.0 if tub else 1.0
    taken = "" if percent is not None else " (taken; say yours)"
    share = percent if percent is not None else 50.0
    full = crowding_of(int(count or 0), mm, litres, each, share, filtered=not tub)
    volume = say.volume(litres, s.info.units, s.info.gallon)
    water = f"with {_rhythm(each, share)} changed{taken}"
    if count is None:
        return Answer(f"About {full.most} of {figure(mm)} mm fill {volume} {water}: {PRACTICE}.", why=because(full))
    fish = f"{say.count(int(count), 'fish', 'fish')} of {figure(mm)} mm"
    text = f"{fish} in {volume}: {full.band}, {100 * full.value:.0f} % of full."
    return Answer(f"{text}\nAbout {full.most} of that size would fill it {water}.", why=because(full))
