"""What an estimate rests on and what it warns of, in words."""

from __future__ import annotations

from datetime import datetime

from shared.hatching.development import UNKNOWN_TEMP_C, UNKNOWN_TEMP_SPREAD_C, Pace
from shared.hatching.experience import NOBODY, Learned
from shared.hatching.incubation import Elsewhere
from shared.species import Species

WAIT = (
    "these eggs wait for water, for weeks to months, so there is no hatch date: look at them, and when the eyes "
    "are ringed gold wet a pinch first; dry what does not hatch and wet it again weeks later "
    "(common practice, no source)"
)
PAST = (
    "no fry although nearly all good batches hatch by now, so these have likely failed: look for white or furry "
    "eggs, for clear ones without an embryo, and for eyes that move; eyed eggs may still hatch, often after "
    "fresh water (common practice, no source)"
)


def basis_of(species: Species | None, pace: Pace, learned: Learned, temp_c: float | None) -> str:
    """On what an estimate rests: earlier batches here, or whose published figures; and at what warmth."""
    warmth = f"{temp_c:.1f} °C" if temp_c is not None else "temperature not known"
    if species is not None and species.waits:
        return f"{species.basis}, {warmth}"
    if learned.count:
        return f"{_many(learned.count, 'earlier batch', 'earlier batches')} here, {warmth}"
    if species is None or pace.level == "nothing":
        return f"no figures for this fish, {warmth}"
    hearsay = sum(row.confidence == "low" for row in pace.rows)
    counts = [
        _many(len(pace.rows) - hearsay, "published figure", "published figures"),
        _many(hearsay, "keeper's figure", "keepers' figures"),
    ]
    whose = {
        "species": f"for {species.name}",
        "genus": f"for others of the genus {species.genus}, none for {species.name}",
        "family": f"for others of its family {species.family}, none nearer",
        "egg_type": f"for other {species.egg_type} fish, no relative among them",
    }[pace.level]
    return f"{' and '.join(count for count in counts if count)} {whose}, {warmth}"


def _many(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}" if count else ""


def sources_of(species: Species | None, pace: Pace) -> tuple[str, ...]:
    """The papers it rests on."""
    if species is None:
        return ()
    if species.waits:
        return (species.basis,)
    return pace.cited


def lent_warmth(elsewhere: Elsewhere) -> str:
    """That other places' warmth was taken."""
    return (
        f"no temperature logged where these eggs stand; {elsewhere.mean_c:.1f} ± {elsewhere.spread_c:.1f} °C is taken "
        f"from {_many(elsewhere.places, 'other place', 'other places')}, so the window is wider"
    )


def stray_readings(
    fish: Species, laid: datetime, now: datetime, since: list[tuple[datetime, float]]
) -> tuple[str, ...]:
    """A word on single readings outside the range."""
    stray = [c for at, c in since if not fish.temp_low <= c <= fish.temp_high and laid <= at <= now]
    if not stray:
        return ()
    said = " and ".join(f"{c:.1f} °C" for c in sorted({min(stray), max(stray)}))
    return (
        f"it read {said}, outside {fish.temp_low:g}–{fish.temp_high:g} °C: eggs may have come to harm, and the "
        "days are less sure",
    )


def cautions_for(
    species: Species | None, name: str | None, pace: Pace, learned: Learned, temp_c: float | None
) -> tuple[str, ...]:
    """What to know beside the figures."""
    fish, said = species or NOBODY, []
    if species is None:
        fate = "; this rests on your own batches alone" if learned.count else ", so there is no estimate"
        said.append((f"“{name}” is not a fish with figures here" if name else "the species is not known") + fate)
    elif species.genus_level:
        said.append(f"{species.name} is not in the table; its range is {species.basis}")
    if temp_c is None and not fish.waits:
        low, high = UNKNOWN_TEMP_C - UNKNOWN_TEMP_SPREAD_C, UNKNOWN_TEMP_C + UNKNOWN_TEMP_SPREAD_C
        said.append(f"no temperature known; {low:g}–{high:g} °C is assumed, so the window is wider")
    if temp_c is not None and not fish.temp_low <= temp_c <= fish.temp_high:
        said.append(
            f"{temp_c:.1f} °C is outside {fish.temp_low:g}–{fish.temp_high:g} °C, where these eggs are known to "
            "develop; no estimate"
        )
    if fish.waits:
        said.append(WAIT)
    elif species is not None and not learned.count and pace.level in ("family", "egg_type", "nothing"):
        said.append("no figures for this fish or its genus; the window is very wide until your own batches narrow it")
    if pace.disputed and not learned.count:
        said.append("sources on this fish differ by more than half, so go by the eggs more than by the days")
    if fish.note:
        said.append(fish.note)
    return tuple(said)
