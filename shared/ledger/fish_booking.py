"""Fish in the ledger: lost, counted, sold and brought in; out of which group, of which sex, and what is asked first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from shared.events import BadEggsRemoved, Event, FishDied, FishSold, HeadsCounted, Stage, StockArrived
from shared.kin.lineage import STRAY
from shared.ledger.drafts import (
    Booking,
    Draft,
    Notice,
    Option,
    Question,
    ask_group,
    coming,
    crossing,
    find,
    known,
    one_species,
    too_many,
)
from shared.ledger.egg_booking import bad_eggs
from shared.ledger.move_booking import of_another_generation, stage_in
from shared.ledger.sharing import batch_of, heads, mixed, over_sexed, parts_of, shared_over, shares
from shared.ledger.standing import Account, Holding, Outside, Posting, Side, Standing, cause_of

A_TENTH = 0.1  # an estimated count this near to the record says nothing against it; common practice, no source


def _out(
    event: Event,
    at: dt.datetime,
    standing: Standing,
    fits: Sequence[Holding],
    outside: Outside,
    count: int | None,
    male: int,
    female: int,
) -> Booking:
    """Fish that leave the room, as one entry."""
    parts = parts_of(event, count, male, female, fits)
    if isinstance(parts, Booking):
        return parts
    booked, notices = parts
    about = isinstance(event, FishDied) and event.estimated
    postings = tuple(
        Posting(source=h.account, outside=outside, count=n, male=m, female=f, estimated=about) for h, n, m, f in booked
    )
    held = [h for h, *_ in booked] or list(fits)
    batch = batch_of(standing, held)
    return Booking((Draft(event, at, postings, batch, fits[0].place or None, fits[0].line),), tuple(notices))


# ---- losses


def death(event: FishDied, at: dt.datetime, standing: Standing) -> Booking:
    """Fish lost, whatever the cause; many at once are remarked on."""
    if not event.spots and not event.batch and not event.line:
        return Booking(question=Question("where", event.outside()))
    place = event.spots[0] if event.spots else None
    if event.stage == "eggs":
        bad = BadEggsRemoved(place=place, batch=event.batch, count=event.count, date=event.date, time=event.time)
        bad = bad.model_copy(update={"estimated": event.estimated})
        return bad_eggs(bad, at, standing)
    fits = find(standing, "fish", place=place, batch=event.batch, line=event.line, stage=event.stage)
    if not fits and event.line and event.line != STRAY:
        fits = find(standing, "fish", place=place, batch=event.batch, stage=event.stage)
    if not fits and event.stage is None and event.sex is None:
        eggs = find(standing, "eggs", place=place, batch=event.batch, line=event.line)
        if len(eggs) == 1:
            return Booking(question=_eggs_or_fry(event, eggs[0]))
    if not fits:
        draft = Draft(event, at, batch=known(standing, event.batch), place=place, line=event.line)
        return Booking((draft,), (Notice("nothing_on_record", {"place": place, "what": "fish"}),))
    sexed = {event.sex: event.count or 0} if event.sex else {}
    male, female = sexed.get("male", 0), sexed.get("female", 0)
    booking = _out(event, at, standing, fits, "died", event.count, male, female)
    total, counted = sum(h.count for h in fits), all(h.counted for h in fits)
    sick = cause_of(event.cause) in ("found", "missing")
    if booking.drafts and event.count and counted and sick and event.count >= max(3, 0.1 * total):
        many = Notice("many_losses", {"count": event.count, "place": fits[0].place})
        booking = replace(booking, notices=(many, *booking.notices))
    return booking


def _eggs_or_fry(event: FishDied, eggs: Holding) -> Question:
    """Losses where only eggs are on record: eggs gone bad, or fry nobody told of."""
    raw = event.outside()
    raw.pop("places", None)
    spot: dict[str, Any] = {"place": eggs.place, "batch": eggs.group} if eggs.place else {"batch": eggs.group}
    when: dict[str, Any] = {key: raw[key] for key in ("date", "time") if key in raw}
    bad: dict[str, Any] = {"kind": "bad_eggs", **spot, **when}
    fry: tuple[dict[str, Any], ...] = ({"kind": "hatch", **spot, **when}, {**raw, **spot, "stage": "fry"})
    if event.count is not None:
        fry[0]["count"] = event.count
        options = [Option(f"{event.count} eggs", ({**bad, "count": event.count},))]
    else:
        options = [Option("all the eggs", ({**bad, "count": eggs.count},))] if eggs.counted else []
        options.append(Option("some eggs", (bad,)))
    facts = {"place": eggs.place, "batch": eggs.group, "line": eggs.line, "held": eggs.count if eggs.counted else None}
    return Question("eggs_not_fish", raw, facts, (*options, Option("fry", fry)))


# ---- head counts


def headcount(event: HeadsCounted, at: dt.datetime, standing: Standing) -> Booking:
    """A count of what is there: it begins, confirms or ends a number, and never overwrites one without a word."""
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    both = event.male is not None and event.female is not None
    count = heads(event.count, event.male, event.female) if both else event.count
    if asked := over_sexed(event, count, event.male or 0, event.female or 0):
        return asked
    place = event.spots[0] if event.spots else None
    fits: list[Holding] = []
    sides: tuple[Side, ...] = ("eggs",) if event.stage == "eggs" else ("fish", "eggs")
    for side in sides:
        fits = find(standing, side, place=place, batch=event.batch, line=event.line, stage=event.stage)
        if fits:
            break
    if not fits:
        return _first_count(event, at, standing, place, count)
    if len(fits) > 1:
        if all(h.counted for h in fits) and count == sum(h.count for h in fits):
            return Booking((Draft(event, at, place=place),))
        if not mixed(fits):
            return ask_group(event, fits)
    held = fits[0]
    draft = Draft(event, at, (), batch_of(standing, fits), held.place or None, held.line)
    if count is None and len(fits) == 1:
        count = held.count if held.counted else None
        if count is not None and (event.male or 0) + (event.female or 0) > count:
            return too_many(event, (event.male or 0) + (event.female or 0), fits)
        if count is None:
            return Booking((draft,))
    if count is None:
        return Booking((draft,))
    if not held.counted:
        return Booking((replace(draft, postings=_count_first(standing, held, count, event)),))
    return _recount(event, draft, fits, count, known_batch=draft.batch)


def _recount(
    event: HeadsCounted, draft: Draft, fits: Sequence[Holding], count: int, known_batch: str | None
) -> Booking:
    """A count of fish that were counted before: what differs is booked as it is explained, or asked about."""
    held, total = fits[0], sum(h.count for h in fits)
    gap = total - count
    guessed = any(h.estimated for h in fits) and not event.estimated
    if event.estimated and not event.difference and abs(gap) <= A_TENTH * total:
        return Booking((draft,))
    if gap == 0 or event.difference == "unaccounted" or gap < 0 or guessed:
        # More than the record knew were simply missed before; fewer is the keeper's to explain, unless it was a guess.
        postings = tuple(_counted_anew(event, h, n, alone=len(fits) == 1) for h, n in _gaps(fits, gap))
        notices: list[Notice] = []
        if gap < 0 and not guessed:
            notices.append(Notice("found", {"count": -gap, "batch": held.group}))
        elif gap and guessed:
            notices.append(Notice("estimated_now", {"held": total, "count": count}))
        if len(fits) > 1 and gap:
            booked = [(h, abs(n)) for h, n in _gaps(fits, gap) if n]
            notices.append(shared_over(fits, booked))
        return Booking((replace(draft, postings=tuple(p for p in postings if p)),), tuple(notices))
    raw = event.outside()
    named: dict[str, Any] = {"batch": held.group} if known_batch else {"line": held.line}
    loss: dict[str, Any]
    sex = _sex_short(event, held, gap) if len(fits) == 1 else None
    if held.stage == "eggs":
        loss = {"kind": "bad_eggs", "place": held.place, "batch": held.group, "count": gap}
    else:
        loss = {"kind": "death", "place": held.place, "count": gap, "stage": held.stage, **named}
        loss |= {"sex": sex} if sex else {}
    again = {**raw, "stage": held.stage, **named, "place": held.place}
    unsure = len(fits) == 1 and sex is None and (event.male is not None or event.female is not None)
    options = (
        Option(f"{gap} {'bad' if held.stage == 'eggs' else 'died'}", (loss, again) if unsure else (loss,)),
        Option(f"{gap} unaccounted for", ({**again, "difference": "unaccounted"},)),
        Option("leave it"),
    )
    facts = {"gap": gap, "held": total, "said": count, "group": held.group, "stage": held.stage}
    return Booking((draft,), (), Question("difference", raw, {**facts, "place": held.place}, options))


def _gaps(fits: Sequence[Holding], gap: int) -> list[tuple[Holding, int]]:
    """How many fewer (or, below zero, more) of each: by their numbers."""
    if len(fits) == 1:
        return [(fits[0], gap)]
    sign = 1 if gap > 0 else -1
    return [(h, sign * n) for h, n in zip(fits, shares(abs(gap), [h.count for h in fits]), strict=True)]


def _counted_anew(event: HeadsCounted, held: Holding, gap: int, alone: bool) -> Posting | None:
    """What a count changes: how many, of which sex (not in a mixed group), and that it is no estimate any more."""
    sexes = _sexes_now(event, held, held.count - gap) if alone else None
    total_said = event.count is not None or None not in (event.male, event.female)
    exact = total_said and held.estimated != event.estimated and bool(held.estimated or gap)
    if not gap and sexes is None and not exact:
        return None
    source, target = (held.account, None) if gap > 0 else (None, held.account)
    return Posting(
        source=source,
        target=target,
        outside="unaccounted",
        count=abs(gap),
        sexes=sexes,
        recount=total_said,
        estimated=event.estimated,
    )


def _sexes_now(event: HeadsCounted, held: Holding, count: int) -> tuple[int, int] | None:
    """How many males and females are known after a count; None where it said nothing of them that is new."""
    if event.male is None and event.female is None:
        return None
    male = event.male if event.male is not None else min(held.male, max(0, count - (event.female or 0)))
    female = event.female if event.female is not None else min(held.female, max(0, count - male))
    if male + female > count or (male, female) == (held.male, held.female):
        return None
    return male, female


def _sex_short(event: HeadsCounted, held: Holding, gap: int) -> str | None:
    """The sex of the missing, where the counts of both leave only one answer."""
    if event.male is None or event.female is None or held.unsexed:
        return None
    short = {"male": held.male - event.male, "female": held.female - event.female}
    return next((sex for sex, n in short.items() if n == gap and sum(short.values()) == gap), None)


def _count_first(standing: Standing, held: Holding, count: int, event: HeadsCounted) -> tuple[Posting, ...]:
    """The first count of fish nobody had counted; fry that hatched uncounted come out of their eggs."""
    missing = count - held.count
    eggs = next((h for h in standing.of_group(held.group) if h.stage == "eggs" and h.counted), None)
    hatched_unknown = "hatched" in standing.tally(held.group, "fish").unknown
    sexes = _sexes_now(event, held, count)
    out_of_eggs = held.stage == "fry" and eggs and hatched_unknown and 0 <= missing <= eggs.count
    return (
        Posting(
            source=eggs.account if out_of_eggs and eggs else None,
            target=held.account,
            outside=None if out_of_eggs else "start",
            count=missing,
            counts=True,
            recount=True,
            estimated=event.estimated,
            sexes=sexes,
        ),
    )


def _first_count(
    event: HeadsCounted, at: dt.datetime, standing: Standing, place: str | None, count: int | None
) -> Booking:
    """A count where the record knows of nothing: what is there begins here."""
    kept = standing.places.get(place or "")
    line = event.line or (kept.line if kept else None)
    if kept and not line and count and not event.batch and event.stage != "eggs":
        return Booking(question=Question("which_line", event.outside(), {"place": place}))
    if not line or count is None:
        draft = Draft(event, at, place=place, batch=known(standing, event.batch))
        return Booking((draft,), (Notice("nothing_on_record", {"place": place, "what": "fish"}),))
    stage: Stage = event.stage or stage_in(kept.role if kept else None, "juveniles", line)
    account = Account(group=known(standing, event.batch) or line, place=place or "", stage=stage)
    posting = coming(event, count, account, "start", counts=True)
    return Booking((Draft(event, at, (posting,), known(standing, event.batch), place, line),))


# ---- out of the room and into it


def sale(event: FishSold, at: dt.datetime, standing: Standing) -> Booking:
    """Fish sold or given away: of a line alone its juveniles first, where there are enough."""
    male, female = event.male or 0, event.female or 0
    count = heads(event.count, event.male, event.female)
    if asked := over_sexed(event, count, male, female):
        return asked
    side: Side = "eggs" if event.stage == "eggs" else "fish"
    fits = find(standing, side, place=event.place, batch=event.batch, line=event.line, stage=event.stage)
    if not event.place and not event.batch and not event.stage:
        young = [h for h in fits if h.stage == "juveniles"]
        fits = young or [h for h in fits if h.stage == "adults"] or fits
        spots = {h.place: [o for o in fits if o.place == h.place] for h in fits}
        enough = [h for h in fits if h.counted and sum(o.count for o in spots[h.place]) >= (count or 1)]
        fits = enough or fits
    if not (event.place or event.batch or event.line):
        fits = []
    if not fits:
        draft = Draft(event, at, place=event.place, batch=known(standing, event.batch), line=event.line)
        return Booking((draft,), (Notice("nothing_on_record", {"place": event.place, "what": "fish"}),))
    return _out(event, at, standing, fits, "sold", count, male, female)


def arrival(event: StockArrived, at: dt.datetime, standing: Standing) -> Booking:
    """Fish join the line's fish; eggs and peat become a batch that was laid before, nobody knows when."""
    if not event.line:
        return Booking(question=Question("which_line", event.outside(), {"place": event.place}))
    count = heads(event.count, event.male, event.female)
    if asked := over_sexed(event, count, event.male or 0, event.female or 0):
        return asked
    event, question = _of_its_population(event, standing)
    if question:
        return Booking(question=question)
    if event.stage == "eggs":
        return _eggs_come_in(event, at, standing, count)
    line, place, name = event.line or "", event.place or "", event.batch
    notices = crossing(place, {line}, standing)
    if event.hatched:  # fish of a known age are a batch
        name = name or standing.next_batch_name()
    elif not name and of_another_generation(standing, line, place, event.generation):
        name = standing.next_batch_name()
        notices.append(Notice("counted_apart", {"batch": name, "generation": event.generation, "place": place}))
    draft = _come_in(event, at, standing, count, name, place)
    return Booking((draft,), (*notices, *_unnamed_breeders(line, place, standing)))


def _eggs_come_in(event: StockArrived, at: dt.datetime, standing: Standing, count: int | None) -> Booking:
    kept = standing.lines.get(event.line or "")
    name = event.batch or standing.next_batch_name()
    place = event.place or ("peat bag" if kept and kept.eggs == "peat" else "")
    begin, end = event.laid_from, event.laid_to or event.laid_from
    laid_from = dt.datetime.combine(begin, dt.time(0), at.tzinfo) if begin else None
    laid_to = min(dt.datetime.combine(end, dt.time(23, 59), at.tzinfo), at) if end else at
    notices = crossing(place, {event.line or ""}, standing)
    if not end:
        notices.append(Notice("no_lay_date", {"batch": name}))
    draft = replace(_come_in(event, at, standing, count, name, place), laid_from=laid_from, laid_to=laid_to)
    return Booking((draft,), (*notices, *_unnamed_breeders(event.line or "", place, standing)))


def _come_in(
    event: StockArrived, at: dt.datetime, standing: Standing, count: int | None, name: str | None, place: str
) -> Draft:
    line = event.line or ""
    account = Account(group=name or line, place=place, stage=event.stage or "adults")
    fresh = count is not None and account.key not in standing.holdings
    return Draft(event, at, (coming(event, count, account, "moved_in", counts=fresh),), name, place or None, line)


def _unnamed_breeders(line: str, place: str, standing: Standing) -> list[Notice]:
    """Said where fish nobody could name come among breeders."""
    role = standing.places[place].role if place in standing.places else None
    return [Notice("not_identified", {"place": place})] if line == STRAY and role == "breeders" else []


def _of_its_population(event: StockArrived, standing: Standing) -> tuple[StockArrived, Question | None]:
    """Under the line of the population they are said to be of; where there is none, only the keeper can say.

    Populations are lines of their own: they are never crossed. Common practice, no source.
    """
    kept = standing.lines.get(event.line or "")
    if not event.population or kept is None:
        return event, None
    said = event.population.casefold()
    same = [ln.name for ln in standing.lines.values() if (ln.population or "").casefold() == said]
    same = [name for name in same if name == kept.name or one_species(standing, name, kept.name)]
    if same:
        return event.model_copy(update={"line": kept.name if kept.name in same else same[0]}), None
    raw, name = event.outside(), f"{kept.name} {event.population}"
    traits = {"species": kept.species, "eggs": kept.eggs, "population": event.population}
    traits |= {"generation": event.generation}
    opened = {"kind": "new_line", "line": name, **{k: v for k, v in traits.items() if v}}
    options = [Option("a line of their own", (opened, {**raw, "line": name}))]
    if not kept.population:
        whole = {"kind": "setting", "line": kept.name, "what": "population", "value": event.population}
        options.append(Option(f"all our {kept.name} are", (whole, raw)))
    facts = {"line": kept.name, "population": event.population, "kept": kept.population, "name": name}
    return event, Question("which_population", raw, facts, (*options, Option("leave it")))
