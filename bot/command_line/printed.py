"""What the commands `show`, `stock` and `hatch` print: how things stand, as JSON and in words."""

from __future__ import annotations

import datetime as dt
import re
from typing import Any
from zoneinfo import ZoneInfo

from bot.answers.answer import Asking
from bot.answers.generations import line_text
from bot.answers.hatch_dates import hatch_text_of
from bot.answers.how_it_stands import batch_text, place_text
from bot.answers.stock import stock_of
from bot.language import Query
from shared.hatching.estimate import Window, hatch_age
from shared.hatching.forecast import forecast
from shared.ledger.standing import Batch, Holding, Side, Standing, unexplained
from storage.journal import RoomBook


def _iso(at: dt.datetime | None, zone: ZoneInfo) -> str | None:
    return at.astimezone(zone).isoformat(timespec="minutes") if at else None


def celsius(text: str) -> float:
    """A temperature as typed, in °C: `24.5`, `24.5C`, `76F`, `76 °F`. Raises ValueError."""
    hit = re.fullmatch(r"\s*(-?\d+(?:[.,]\d+)?)\s*°?\s*([CcFf]?)\s*", text)
    if not hit:
        raise ValueError(f"“{text}” is no temperature; write it like 24.5 (°C) or 76F")
    value = float(hit[1].replace(",", "."))
    return round((value - 32) / 1.8, 2) if hit[2] in ("F", "f") and hit[2] else value


def hatch_json(species: str, temp_c: float | None) -> dict[str, Any]:
    """`roomhand hatch SPECIES --json`. Raises ValueError for an impossible temperature."""
    age = hatch_age(species, temp_c)

    def days(value: float | None) -> float | None:
        return None if value is None else round(value, 2)

    told: dict[str, Any] = {
        "species": age.species,
        "temp_c": temp_c,
        "median_days": days(age.median_days),
        "p10_days": days(age.p10_days),
        "p90_days": days(age.p90_days),
        "within_range": age.within_range,
        "basis": age.basis,
        "sources": list(age.sources),
        "cautions": list(age.cautions),
    }
    if age.earliest_days is not None:
        told["earliest_days"] = days(age.earliest_days)
    return told


def hatch_text(told: dict[str, Any]) -> str:
    """The same in words."""
    if told["median_days"] is None:
        early = f"not before {told['earliest_days']:g} days" if "earliest_days" in told else "no figure"
        return "\n".join([f"{told['species']}: {early} ({told['basis']}).", *told["cautions"]])
    return "\n".join(
        [
            f"{told['species']}: half hatched about {told['median_days']:.0f} days after laying "
            f"({told['p10_days']:.0f}–{told['p90_days']:.0f}, 80 %). {told['basis']}.",
            *told["cautions"],
            *(f"Source: {s}" for s in told["sources"]),
        ]
    )


def batch_hatch_json(standing: Standing, name: str, now: dt.datetime, zone: ZoneInfo) -> dict[str, Any]:
    """`roomhand hatch --batch NAME --json`."""
    batch = standing.batches[name]
    seen = forecast(standing, name, now)

    def window(w: Window | None) -> dict[str, str | None] | None:
        return None if w is None else {"p10": _iso(w.p10, zone), "p50": _iso(w.p50, zone), "p90": _iso(w.p90, zone)}

    told: dict[str, Any] = {
        "batch": name,
        "line": batch.line,
        "laid_from": _iso(batch.laid_from, zone),
        "laid_to": _iso(batch.laid_to, zone),
        "temp_c": seen and seen.temp_c,
        "first_fry": window(seen.first_fry) if seen else None,
        "half_hatched": window(seen.half_hatched) if seen else None,
        "last_fry": window(seen.last_fry) if seen else None,
        "chance_hatched_by_now": seen and seen.chance_by_now,
        "basis": seen.basis if seen else "nobody said when these eggs were laid",
        "earlier_batches": seen.earlier_batches if seen else 0,
        "sources": list(seen.sources) if seen else [],
        "cautions": list(seen.cautions) if seen else [],
    }
    if seen and seen.earliest:
        told["earliest"] = _iso(seen.earliest, zone)
    if batch.fry_seen:
        told["fry_seen"] = _iso(batch.fry_seen, zone)
    return told


def batch_hatch_text(standing: Standing, book: RoomBook, name: str, now: dt.datetime) -> str:
    """The same in words."""
    return hatch_text_of(Asking(Query("hatch", batch=name), standing, book, now, ""), name)


def _held(h: Holding, zone: ZoneInfo, standing: Standing) -> dict[str, Any]:
    labels = standing.generations_of(h)
    return {
        "line": h.line,
        "batch": h.group if h.group in standing.batches else None,
        "place": h.place or None,
        "stage": h.stage,
        "count": h.number,
        "estimated": h.estimated,
        "male": h.male or None,
        "female": h.female or None,
        "generation": " and ".join(label or "unknown" for label in labels) if any(labels) else None,
        "since": _iso(h.since, zone),
    }


def stock_json(standing: Standing, zone: ZoneInfo) -> list[dict[str, Any]]:
    """`roomhand stock --json`."""
    held = sorted(standing.holdings.values(), key=lambda h: (h.line, h.stage, h.place, h.group))
    return [_held(h, zone, standing) for h in held]


def stock_text(standing: Standing) -> str:
    """What is alive, a row a holding."""
    return stock_of(standing)


def _share(value: float | None) -> float | None:
    return None if value is None else round(value, 4)


def sums(batch: Batch, side: Side, standing: Standing) -> dict[str, Any]:
    """One side of a batch's sums; a number nobody counted is null, named under `unknown`."""
    tally = batch.tally(side)
    names: tuple[str, ...] = ("start", "pulled", "moved_in", "bad", "hatched", "sold", "moved_out", "unaccounted")
    if side == "fish":
        names = ("start", "hatched", "moved_in", "died", "sold", "moved_out", "unaccounted")
    told: dict[str, Any] = {}
    for name in names:
        value = getattr(tally, name)
        told[name] = None if name in tally.unknown and not value else value
    held = [h for h in standing.of_group(batch.name) if (h.stage == "eggs") == (side == "eggs")]
    told["alive"] = None if any(not h.counted for h in held) else sum(h.count for h in held)
    if tally.unknown:
        told["unknown"] = dict.fromkeys(tally.unknown, "not counted")
    return told


def show_json(standing: Standing, name: str, book: RoomBook) -> dict[str, Any] | None:
    """`roomhand show NAME --json`, or None where there is no such place or batch."""
    zone = book.info.zone
    if name in standing.batches:
        return _batch_json(standing, name, book)
    if name in standing.places:
        return _place_json(standing, name, zone)
    if name in standing.lines:
        held = [_held(h, zone, standing) for h in standing.holdings.values() if h.line == name]
        return {**standing.lines[name].model_dump(), "places": held}
    return None


def _batch_json(standing: Standing, name: str, book: RoomBook) -> dict[str, Any]:
    batch, zone = standing.batches[name], book.info.zone
    line = standing.lines.get(batch.line)
    return {
        "batch": name,
        "line": batch.line,
        "places": [_held(h, zone, standing) for h in standing.of_group(name)],
        "laid_from": _iso(batch.laid_from, zone),
        "laid_to": _iso(batch.laid_to, zone),
        "fry_seen": _iso(batch.fry_seen, zone),
        "eyed": _iso(batch.eyed, zone),
        "medium": batch.medium,
        "parents": batch.parents,
        "parent_groups": batch.parent_groups,
        "generation": batch.generation,
        "species": line.species if line else None,
        "population": line.population if line else None,
        "joined": batch.joined,
        **_sums_of_both_sides(standing, batch, book),
    }


def _sums_of_both_sides(standing: Standing, batch: Batch, book: RoomBook) -> dict[str, Any]:
    """How a batch came to what it is: eggs and fish together, then each side alone."""
    eggs, fish = sums(batch, "eggs", standing), sums(batch, "fish", standing)
    fallen = batch.fish

    def whole(key: str) -> int | None:
        parts = [side[key] for side in (eggs, fish) if key in side]
        known = [p for p in parts if p is not None]
        return sum(known) if known or not parts else None

    return {
        "start": whole("start"),
        "pulled": eggs["pulled"],
        "moved_in": whole("moved_in"),
        "bad": eggs["bad"],
        "hatched": eggs["hatched"],
        "died": fish["died"],
        "culled": fallen.culled,
        "causes": {
            "found": fallen.found_dead,
            "jumped": fallen.jumped,
            "culled": fallen.culled,
            "eaten": fallen.eaten,
            "missing": fallen.missing,
        },
        "survival": {"with_culls": _share(fallen.survival(True)), "without_culls": _share(fallen.survival(False))},
        "sold": whole("sold"),
        "moved_out": whole("moved_out"),
        "unaccounted": whole("unaccounted"),
        "unaccounted_by": [
            {"at": _iso(entry.at, book.info.zone), "side": side, "count": count, "why": why}
            for entry in book.entries(name=batch.name, kinds=("headcount", "hatch", "move"))
            for side, count, why in unexplained(entry, batch.name)
        ],
        "alive": None if eggs["alive"] is None or fish["alive"] is None else eggs["alive"] + fish["alive"],
        "eggs": eggs,
        "fish": fish,
    }


def _place_json(standing: Standing, name: str, zone: ZoneInfo) -> dict[str, Any]:
    place = standing.places[name]
    return {
        "place": name,
        "kind": place.kind,
        "litres": place.litres and round(place.litres, 2),
        "role": place.role,
        "line": place.line,
        "closed": place.closed,
        "holds": [_held(h, zone, standing) for h in standing.at_place(name)],
        "hatched_between": [_iso(at, zone) for at in standing.hatched_between(name) or ()] or None,
        "last": {what: _iso(chore.last, zone) for what, chore in standing.chores.get(name, {}).items()},
        "readings": {
            quantity: {"value": kept[-1].value, "at": _iso(kept[-1].at, zone)}
            for quantity, kept in standing.readings.get(name, {}).items()
        },
    }


def show_text(standing: Standing, name: str, book: RoomBook, now: dt.datetime) -> str:
    """The same in words."""
    if name in standing.lines and name not in standing.batches and name not in standing.places:
        return line_text(standing, name)
    ask = Asking(Query("batch" if name in standing.batches else "place"), standing, book, now, "")
    return batch_text(ask, name) if name in standing.batches else place_text(ask, name)
