"""Out of which fish so many go: of which sex, and shared by which rule where two hatches of a line stand together."""

from __future__ import annotations

from collections.abc import Sequence

from shared.events import Event
from shared.ledger.drafts import Booking, Notice, Option, Question, ask_group, too_many
from shared.ledger.standing import Holding, Standing


def mixed(fits: Sequence[Holding]) -> bool:
    """Whether these are counted fish of several batches that nobody can tell apart: one line, place and stage."""
    alike = {(h.line, h.place, h.stage) for h in fits}
    return len(fits) > 1 and len(alike) == 1 and all(h.counted for h in fits) and fits[0].stage != "eggs"


def shares(count: int, weights: Sequence[int]) -> list[int]:
    """`count` split in proportion to `weights`, what is left over to the largest remainders, then to the larger.

    The shares add up to `count`; none exceeds its weight where `count` is at most their sum. With one fish it is
    the largest that bears it. Raises ValueError for weights that are all nothing.
    """
    total = sum(weights)
    if total <= 0:
        raise ValueError("there is nothing to share by")
    parts = [count * weight // total for weight in weights]
    rest = [count * weight % total for weight in weights]
    order = sorted(range(len(weights)), key=lambda n: (-rest[n], -weights[n], n))
    for n in order[: count - sum(parts)]:
        parts[n] += 1
    return parts


# ---- males, females and unsexed


def heads(count: int | None, male: int | None, female: int | None) -> int | None:
    """How many fish in all, where only the sexes were said."""
    return count if count is not None or (male is None and female is None) else (male or 0) + (female or 0)


def over_sexed(event: Event, count: int | None, male: int, female: int) -> Booking | None:
    """More males and females than fish: asked."""
    if count is None or male + female <= count:
        return None
    return Booking(question=Question("sexes", event.outside(), {"count": count, "male": male, "female": female}))


def has(held: Holding, male: int, female: int) -> bool:
    """Whether so many males and females may be among them."""
    missing = max(0, male - held.male) + max(0, female - held.female)
    return not held.counted or missing <= held.unsexed


def _wrong_sex(event: Event, held: Holding, male: int, female: int) -> Booking:
    """The record has no room for so many of that sex: one of the two is wrong."""
    named = {"line": held.line} if held.group == held.line else {"batch": held.group}
    males = max(male, min(held.male, held.count - female))
    females = max(female, min(held.female, held.count - males))
    sexes = {"count": held.count, "male": males, "female": females, "stage": held.stage}
    recount = {"kind": "headcount", **({"place": held.place} if held.place else {}), **named, **sexes}
    raw = event.outside()
    facts = {"male": male, "female": female, "held": (held.male, held.female), "place": held.place}
    options = (Option("as said", (recount, raw)), Option("leave it"))
    return Booking(question=Question("wrong_sex", raw, {**facts, "group": held.group}, options))


def _sex_not_said(held: Holding, count: int, male: int, female: int) -> list[Notice]:
    """Fish gone from a sexed group without a word of their sex: what is left for certain is said."""
    gone_over = count - male - female - held.unsexed
    if not held.counted or gone_over <= 0 or count >= held.count:
        return []
    left = max(0, held.male - male - gone_over), max(0, held.female - female - gone_over)
    return [Notice("sex_not_said", {"place": held.place, "male": left[0], "female": left[1]})]


# ---- out of one group, or out of several by the rule


def parts_of(
    event: Event, count: int | None, male: int, female: int, fits: Sequence[Holding]
) -> tuple[list[tuple[Holding, int | None, int, int]], list[Notice]] | Booking:
    """From which holdings so many go, of which sex; or what must be asked first."""
    first = fits[0]
    if len(fits) > 1 and (not mixed(fits) or count is None):
        return ask_group(event, list(fits))
    if count is None or not first.counted:
        return [(first, count, male, female)], []
    if count > sum(h.count for h in fits):
        return too_many(event, count, fits)
    if len(fits) == 1:
        if not has(first, male, female):
            return _wrong_sex(event, first, male, female)
        return [(first, count, male, female)], _sex_not_said(first, count, male, female)
    if male or female:
        able = [h for h in fits if h.count >= count and has(h, male, female)]
        if not able:
            return ask_group(event, list(fits))
        return [(able[0], count, male, female)], [shared_over(fits, [(able[0], count)])]
    parts = [(h, n) for h, n in zip(fits, shares(count, [h.count for h in fits]), strict=True) if n]
    return [(h, n, 0, 0) for h, n in parts], [shared_over(fits, parts)] if parts else []


def shared_over(fits: Sequence[Holding], parts: Sequence[tuple[Holding, int]]) -> Notice:
    """Said where a number was shared over several batches."""
    booked = {h.group: n for h, n in parts}
    return Notice("shared", {"place": fits[0].place, "groups": [h.group for h in fits], "booked": booked})


def batch_of(standing: Standing, fits: Sequence[Holding]) -> str | None:
    """The batch, where it is one alone."""
    return fits[0].group if len(fits) == 1 and fits[0].group in standing.batches else None
