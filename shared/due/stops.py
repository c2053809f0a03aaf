"""One stop on the round: a place, what stands in it, and the chores that calls for."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from shared.due.rounds import Round, often, plain_number
from shared.due.rules import Spot
from shared.husbandry.doses import Refusal, peroxide
from shared.ledger.standing import Holding, Place, Standing
from shared.species import usual_way

SMALL_LITRES = 8  # fry and eggs in no more than this are kept like a tub's; common practice, no source
_TUBS = ("tub", "jar", "bowl", "box")


@dataclass
class Stop:
    """One place on the round and what stands in it. A place of "" is eggs in hand."""

    round: Round
    place: str
    kept: Place | None
    held: list[Holding]

    def __post_init__(self) -> None:
        standing = self.round.standing
        self._spots: dict[frozenset[str], Spot] = {}
        self.kind = self.kept.kind if self.kept else (self.place.split() or [""])[0].casefold()
        self.role = self.kept.role if self.kept else None
        self.litres = self.kept.litres if self.kept else None
        self.eggs = [h for h in self.held if h.stage == "eggs"]
        self.wet = [h for h in self.eggs if not in_peat(standing, h)]
        self.fish = [h for h in self.held if h.stage != "eggs"]
        self.fry = [h for h in self.fish if h.stage == "fry"]
        self.young = [h for h in self.fish if h.stage == "juveniles"]
        self.adults = [h for h in self.fish if h.stage == "adults"]
        little = self.litres is not None and self.litres <= SMALL_LITRES and self.role in (None, "fry", "eggs")
        self.small = self.kind in _TUBS or little

    def chores(self) -> None:
        """Every chore of this place, in no order."""
        self._eggs_in_water()
        self._eggs_in_peat()
        if self.place:
            self._breeders()
            self._water()
            self._feeding()
            self._upkeep()

    def spot(self, held: Sequence[Holding]) -> Spot:
        """This place with those groups, for what the routine says of them."""
        groups = frozenset(h.group for h in held)
        spot = self._spots.get(groups)
        if spot is None:
            batches = groups & self.round.standing.batches.keys()
            spot = Spot(self.place or None, self.kind, batches, frozenset(h.line for h in held))
            self._spots[groups] = spot
        return spot

    def done(self, task: str, held: Sequence[Holding]) -> dt.datetime | None:
        return self.round.last_done(task, self.place, [h.group for h in held])

    def number(self, key: str, spot: Spot) -> float:
        return self.round.routine.number(key, spot, self.round.clock.today, self.round.clock.now)

    # ---- eggs

    @property
    def hatching(self) -> bool:
        """Fry swim here, or were seen from every batch of eggs here: no peroxide any more."""
        batches = self.round.standing.batches
        seen = [(b := batches.get(h.group)) is not None and b.fry_seen is not None for h in self.wet]
        return bool(self.fish) or all(seen)

    def _eggs_in_water(self) -> None:
        """Fresh water and a look for every tub of eggs; eggs left in a tank with their parents are left to it."""
        if not self.wet or self.adults:
            return
        standing = self.round.standing
        tended = [h for h in self.wet if not _wetted(standing, h)]
        if self.place and tended and not self.hatching:
            self._by_the_hour("egg_water", tended, "changed", egg_water_words(self.litres))
        if self.place and tended:
            self._by_the_hour("pick_eggs", tended, "picked", "take white and fuzzy eggs out with a pipette")
        for holding in self.wet:
            self._look(holding)

    def _look(self, holding: Holding) -> None:
        round_, clock, spot = self.round, self.round.clock, self.spot([holding])
        window = round_.windows.get(holding.group)
        if not self.place and not (window and window.open_at(clock.now)):
            return  # eggs in hand: nobody has said where they are
        done, since = self.done("check_hatch", [holding]), _utc(holding.since)
        evening = round_.routine.time("evening_at", clock.now)
        times, rhythm = round_.daily("check_hatch", spot, since, done, (evening, window) if window else None)
        if not times:
            return
        how_often = often(rhythm)
        if window and window.open_at(clock.now):
            how_often = f"fry expected {clock.span(window.earliest, window.latest)}"
        why = f"{round_.since_words(done, since, 'looked')}, {how_often}"
        round_.add("check_hatch", spot, times, why, "look against the light; move fry out the same day", window=window)

    def _eggs_in_peat(self) -> None:
        """Peat is looked at every few weeks; wetting it has its own day."""
        round_ = self.round
        for holding in self.eggs:
            if holding in self.wet:
                continue
            spot, batch = self.spot([holding]), round_.standing.batches.get(holding.group)
            # bags share a place, so only a look at this batch counts, or one at all of them
            at_all = round_.said_done.get("look_at_peat", {})
            said = (
                round_.said_done.get("check_hatch", {}).get(holding.group),
                *map(at_all.get, ("", holding.group)),
            )
            looks = [_utc(t) for t in (*said, *((batch.eyed, batch.bagged) if batch else ())) if t]
            since, looked = _utc(holding.since), max(looks, default=None)
            times, rhythm = round_.interval("look_at_peat", spot, since, looked)
            why = f"in peat, looked at {round_.clock.day_name(max(since, looked or since))}, {often(rhythm)}"
            how = "a gold ring round the eye means ready; keep the peat damp, do not wet it yet"
            text = f"look at the peat of {holding.group}"
            round_.add("look_at_peat", spot, times, why, how, text=text, whole_day=True)

    # ---- breeders

    def _breeders(self) -> None:
        """Mops and peat boxes, where eggs are collected that way; not at rest, not with one sex alone."""
        if not self.adults or not self._collected_here():
            return
        round_, spot = self.round, self.spot(self.adults)
        if one_sex(self.adults):
            return
        task = "collect_peat" if self._peat_box() else "pull_mop"
        since, done = _since(self.adults), self.done(task, self.adults)
        times, rhythm = round_.interval(task, spot, since, done)
        if task == "collect_peat":
            verb, how = "taken out", "squeeze the peat out, let it dry to damp, bag it with line and date"
        else:
            verb, how = "pulled", "pick the eggs off, count them into a tub, hang the mop back"
        why = f"{round_.since_words(done, since, verb)}, {often(rhythm)}"
        round_.add(task, spot, times, why, how, whole_day=True)

    def _collected_here(self) -> bool:
        """Whether eggs are collected from a mop or peat box here: a breeding tank, or one so used before."""
        collect = (self.kept.collect if self.kept else None) or self._usual_way() or ""
        if collect not in ("", "mop", "peat box"):
            return False
        used = self.round.done.get(self.place, {})
        return self.role == "breeders" or (self.role is None and bool(collect or "pull" in used or "mop" in used))

    def _usual_way(self) -> str | None:
        """How eggs of these fish are usually collected where nobody said; None for mops and peat."""
        lines = self.round.standing.lines
        ways = {usual_way(line.species or line.name) if (line := lines.get(h.line)) else None for h in self.adults}
        return ways.pop() if len(ways) == 1 else None

    def _peat_box(self) -> bool:
        collect = self.kept.collect if self.kept else None
        lines = self.round.standing.lines
        peat_line = any((line := lines.get(h.line)) is not None and line.eggs == "peat" for h in self.adults)
        return collect == "peat box" or (collect is None and peat_line)

    # ---- water, food, upkeep

    def _water(self) -> None:
        """Water changes: fry tubs by the hour, tanks by the day."""
        if self.small and not self.adults and (self.fry or self.young or (self.wet and self.hatching)):
            how = "a third to a half out from the bottom; the new water at the same temperature, slowly"
            self._by_the_hour("fry_water", [*self.fry, *self.young] or self.wet, "changed", how)
            return
        if not self.fish:
            return
        key, percent = self._water_rule()
        share = self.number(percent, self.spot(self.fish))
        how = f"about {plain_number(share)} %"
        if self.litres:
            how += f", {plain_number(round(self.litres * share / 100, 1))} l"
        self._by_the_day("water_change", self.fish, "changed", how, key)

    def _water_rule(self) -> tuple[str, str]:
        if not self.adults and self.role != "grow-out" and (self.role == "nursery" or self.fry):
            return "nursery_change_days", "nursery_change_percent"
        if not self.adults and (self.role == "grow-out" or self.young):
            return "grow_out_change_days", "grow_out_change_percent"
        return "", "adult_change_percent"

    def _feeding(self) -> None:
        if self.fry:
            self._by_the_hour("fry_feed", self.fry, "fed", "a little at a time; take out what is left")
        elif self.fish:
            self._by_the_hour("feed", self.fish, "fed", "what is eaten in a few minutes")

    def _upkeep(self) -> None:
        """Tests of small fed tubs, filters of tanks."""
        if self.small and self.fry:
            how = "ammonia; with pH and temperature it says more"
            self._by_the_day("test_water", self.fry, "tested", how, because=": a small fed tub fouls fast")
        if self.fish and self.kind == "tank" and not self.small:
            self._by_the_day("service", self.fish, "cleaned", "squeeze the sponge out in old tank water")

    def _by_the_hour(self, task: str, held: Sequence[Holding], verb: str, how: str) -> None:
        done, since, spot = self.done(task, held), _since(held), self.spot(held)
        times, rhythm = self.round.daily(task, spot, since, done)
        if times:
            self.round.add(task, spot, times, f"{self.round.since_words(done, since, verb)}, {often(rhythm)}", how)

    def _by_the_day(
        self, task: str, held: Sequence[Holding], verb: str, how: str, key: str = "", because: str = ""
    ) -> None:
        done, since, spot = self.done(task, held), _since(held), self.spot(held)
        times, rhythm = self.round.interval(task, spot, since, done, key)
        if times:
            why = f"{self.round.since_words(done, since, verb)}, {often(rhythm)}{because}"
            self.round.add(task, spot, times, why, how, whole_day=True)


def in_peat(standing: Standing, holding: Holding) -> bool:
    """Whether these eggs lie in damp peat: not yet wetted."""
    batch = standing.batches.get(holding.group)
    if batch:
        return (batch.medium == "peat" or holding.place.startswith("peat")) and batch.wetted is None
    line = standing.lines.get(holding.line)
    return holding.place.startswith("peat") or (line is not None and line.eggs == "peat")


def one_sex(adults: Sequence[Holding]) -> bool:
    """Whether all of them are counted and of one sex."""
    number = sum(h.count for h in adults)
    if number <= 0 or not all(h.counted for h in adults):
        return False
    return number in (sum(h.male for h in adults), sum(h.female for h in adults))


@lru_cache(maxsize=256)
def egg_water_words(litres: float | None) -> str:
    """How an egg tub's water is changed: with how many drops of 3 % peroxide; common practice, no source."""
    if litres is None:
        return "all fresh water of the same temperature; 3–5 drops of 3 % peroxide to each 2 cups"
    try:
        dose = peroxide(litres)
    except ValueError:
        return "all fresh water of the same temperature; too little water for even a drop of peroxide"
    if isinstance(dose, Refusal):
        return "all fresh water of the same temperature, no peroxide: this is more than a tub"
    low, high = round(dose.low or dose.value), round(dose.high or dose.value)
    drops = f"{low}–{high} drops" if high > low else f"{low} drop{'s' if low > 1 else ''}"
    return f"all fresh water of the same temperature; {drops} of 3 % peroxide"


def _wetted(standing: Standing, holding: Holding) -> bool:
    batch = standing.batches.get(holding.group)
    return batch is not None and batch.wetted is not None


def _since(held: Sequence[Holding]) -> dt.datetime:
    return _utc(min(h.since for h in held))


def _utc(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC)
