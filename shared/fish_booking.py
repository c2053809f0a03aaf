"""Fish in the ledger: moved, lost, counted, sold, brought in; out of which group, of which sex, shared by what rule."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from shared.drafts import (
    Booking,
    Draft,
    Notice,
    Option,
    Question,
    ask_group,
    crossing,
    find,
    known,
    too_many,
)
from shared.egg_booking import bad_eggs, hatching, near_to
from shared.events import (
    BadEggsRemoved,
    Event,
    FishDied,
    FishMoved,
    FishSold,
    HeadsCounted,
    Stage,
    StockArrived,
)
from shared.ledger import Account, Holding, Outside, Posting, Side, Standing
from shared.lineage import STRAY
from shared.sharing import mixed, shares

NEW = "new"  # what fish are said to join when they are split off as a batch of their own
A_TENTH = 0.1  # an estimated count this near to the record says nothing against it; common practice, no source


def stage_in(role: str | None, stage: Stage, line: str = "") -> Stage:
    """What fish are called once they stand in a place of that role; unknown fish are nobody's breeders."""
    if stage == "eggs":
        return "eggs"
    if role == "grow-out" and stage == "fry":
        return "juveniles"
    if role == "breeders" and line != STRAY:
        return "adults"
    return stage


# ---- males, females and unsexed


def _heads(count: int | None, male: int | None, female: int | None) -> int | None:
    """How many fish in all, where only the sexes were said."""
    return count if count is not None or (male is None and female is None) else (male or 0) + (female or 0)


def _over(event: Event, count: int | None, male: int, female: int) -> Booking | None:
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


def _parts(
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
        return [(able[0], count, male, female)], [_shared(fits, [(able[0], count)])]
    parts = [(h, n) for h, n in zip(fits, shares(count, [h.count for h in fits]), strict=True) if n]
    return [(h, n, 0, 0) for h, n in parts], [_shared(fits, parts)] if parts else []


def _shared(fits: Sequence[Holding], parts: Sequence[tuple[Holding, int]]) -> Notice:
    booked = {h.group: n for h, n in parts}
    return Notice("shared", {"place": fits[0].place, "groups": [h.group for h in fits], "booked": booked})


def _batch_of(standing: Standing, fits: Sequence[Holding]) -> str | None:
    return fits[0].group if len(fits) == 1 and fits[0].group in standing.batches else None


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
    parts = _parts(event, count, male, female, fits)
    if isinstance(parts, Booking):
        return parts
    booked, notices = parts
    postings = tuple(Posting(source=h.account, outside=outside, count=n, male=m, female=f) for h, n, m, f in booked)
    held = [h for h, *_ in booked] or list(fits)
    batch = _batch_of(standing, held)
    return Booking((Draft(event, at, postings, batch, fits[0].place or None, fits[0].line),), tuple(notices))


# ---- moves


def move(event: FishMoved, at: dt.datetime, standing: Standing) -> Booking:
    if event.joins and event.batch:
        return _merge(event, at, standing)
    if not event.source and not event.batch and not event.line:
        return Booking(question=Question("where", event.outside()))
    if not event.to or event.to == event.source:
        return Booking(question=Question("where", event.outside(), {"missing": "to"}))
    male, female = event.male or 0, event.female or 0
    count = _heads(event.count, event.male, event.female)
    if asked := _over(event, count, male, female):
        return asked
    sides: tuple[Side, ...] = ("eggs",) if event.stage == "eggs" else ("fish", "eggs")
    fits: list[Holding] = []
    for side in sides:
        fits = find(standing, side, place=event.source, batch=event.batch, line=event.line, stage=event.stage)
        if not fits and event.line and event.source:
            fits = find(standing, side, place=event.source, batch=event.batch, stage=event.stage)
        fits = [h for h in fits if h.place != event.to]
        if fits:
            break
    role = standing.places[event.to].role if event.to in standing.places else None
    if not fits:
        return _move_unlogged(event, at, standing, role, count)
    whole = count is None
    if len(fits) > 1 and not (whole and event.source) and not mixed(fits):
        return ask_group(event, fits)
    notices = crossing(event.to, {h.line for h in fits}, standing)
    if role == "breeders" and any(h.line == STRAY for h in fits):
        notices.append(Notice("not_identified", {"place": event.to}))
    drafts: list[Draft] = []
    for held in [h for h in fits if h.stage == "eggs"]:
        if event.stage != "eggs" and (event.stage or role in ("fry", "nursery", "grow-out")):
            made, more = hatching(event, at, held, count, event.to, event.estimated)
            drafts += list(made)
            notices += [*more, Notice("implied_hatch", {"batch": held.group, "count": count})]
            continue
        if count is not None and held.counted and count > held.count:
            return too_many(event, count, [held])
        settled = _into_tub(event, at, held, standing, whole)
        if settled:
            return settled
        drafts.append(_moved(event, at, standing, [(held, count, 0, 0)], role))
    fish = [h for h in fits if h.stage != "eggs"]
    if fish and whole:
        drafts += [_moved(event, at, standing, [(h, None, 0, 0)], role) for h in fish]
    elif fish:
        parts = _parts(event, count, male, female, fish)
        if isinstance(parts, Booking):
            return parts
        drafts.append(_moved(event, at, standing, parts[0], role))
        notices += parts[1]
    return Booking(tuple(drafts), (*notices, *_mixing(event.to, fish, role, standing)))


def _moved(
    event: FishMoved,
    at: dt.datetime,
    standing: Standing,
    parts: Sequence[tuple[Holding, int | None, int, int]],
    role: str | None,
) -> Draft:
    postings = []
    for held, count, male, female in parts:
        stage = held.stage if held.stage == "eggs" else stage_in(role, held.stage, held.line)
        target = Account(group=held.group, place=event.to or "", stage=stage)
        all_of_them = count is None or (held.counted and count == held.count)
        postings.append(
            Posting(
                source=held.account,
                target=target,
                count=count,
                male=0 if all_of_them else male,
                female=0 if all_of_them else female,
                whole=all_of_them,
                estimated=event.estimated,
                counts=count is not None and target.key not in standing.holdings,
            )
        )
    if not parts:  # none of them
        return Draft(event, at, place=event.source, line=event.line)
    held = parts[0][0]
    batch = _batch_of(standing, [h for h, *_ in parts])
    return Draft(event, at, tuple(postings), batch, held.place or None, held.line)


def _mixing(to: str, fish: Sequence[Holding], role: str | None, standing: Standing) -> list[Notice]:
    """Said once, when a second hatch of the line comes to a place: from now on losses there are shared."""
    if not fish or to in {h.place for h in fish}:
        return []
    coming, stage = fish[0], stage_in(role, fish[0].stage, fish[0].line)
    there = [h for h in standing.fish_at(to) if h.line == coming.line and h.stage == stage]
    groups = list(dict.fromkeys(h.group for h in (*there, *fish)))
    if not there or {h.group for h in fish} <= {h.group for h in there} or role == "breeders":
        return []
    hatched = {g: standing.batches[g].fry_seen for g in groups if g in standing.batches}
    return [Notice("mixed", {"place": to, "groups": groups, "hatched": {g: at for g, at in hatched.items() if at}})]


def _into_tub(event: FishMoved, at: dt.datetime, held: Holding, standing: Standing, whole: bool) -> Booking | None:
    """Eggs just collected set into a tub with eggs of their line: they join that batch, or it is asked."""
    batch = standing.batches.get(held.group)
    same = [h for h in standing.eggs_at(event.to or "") if h.line == held.line]
    if held.place or batch is None or batch.laid_from is None or not same or not (whole or event.count == held.count):
        return None
    near = [h for h in same if near_to(standing.batches.get(h.group), batch.laid_from)]
    if near:
        return _merge(event.model_copy(update={"batch": held.group, "joins": near[-1].group}), at, standing)
    old = same[-1].group
    apart = {"kind": "move", "batch": held.group, "from": event.to, "to": event.to, "stage": "eggs"}
    posting = Posting(source=held.account, target=held.account.model_copy(update={"place": event.to}), whole=True)
    return Booking(
        (Draft(event, at, (posting,), held.group, event.to, held.line),),
        (),
        Question(
            "join_or_apart",
            event.outside(),
            {"batch": held.group, "other": old, "place": event.to},
            (Option(f"with {old}", ({**apart, "joins": old},)), Option("apart")),
        ),
    )


def _merge(event: FishMoved, at: dt.datetime, standing: Standing) -> Booking:
    """A batch, or so many of it, becomes part of another one or (joins "new") a batch of its own."""
    held = find(standing, "eggs", batch=event.batch) + find(standing, "fish", batch=event.batch)
    partly = event.count is not None
    if partly:
        held = [h for h in held if (not event.source or h.place == event.source) and event.stage in (None, h.stage)]
    batch = standing.batches.get(event.batch or "")
    other = standing.next_batch_name() if event.joins == NEW else event.joins
    into = standing.batches.get(other or "")
    if not held or batch is None or other == event.batch or (into is None and event.joins != NEW):
        return Booking(question=Question("no_such_batch", event.outside(), {"batch": event.batch, "other": other}))
    if partly and len(held) > 1:
        return ask_group(event, held)
    if partly and held[0].counted and (event.count or 0) > held[0].count:
        return too_many(event, event.count or 0, held)
    male, female = (event.male or 0, event.female or 0) if partly else (0, 0)
    postings = []
    for h in held:
        target = h.account.model_copy(update={"group": other, "place": event.to or h.place})
        whole = not partly or (h.counted and event.count == h.count)
        fresh = not whole and target.key not in standing.holdings
        sexes = {} if whole else {"male": min(male, h.male + h.unsexed), "female": min(female, h.female + h.unsexed)}
        postings.append(
            Posting(source=h.account, target=target, count=event.count, whole=whole, counts=fresh, **sexes)  # type: ignore[arg-type]
        )
    place = event.to or held[0].place or None
    draft = Draft(event, at, tuple(postings), other, place, batch.line, batch.laid_from, batch.laid_to)
    notices = [Notice("joined", {"batch": other, "place": event.to})]
    if into and into.line != batch.line:
        notices.append(Notice("two_lines", {"batch": other, "lines": [into.line, batch.line]}))
    return Booking((draft,), tuple(notices))


def _move_unlogged(
    event: FishMoved, at: dt.datetime, standing: Standing, role: str | None, count: int | None
) -> Booking:
    source = standing.places.get(event.source or "")
    line = (
        event.line
        or (source.line if source else None)
        or (standing.line_of(event.batch or "") if event.batch in standing.batches else None)
    )
    notice = Notice("nothing_on_record", {"place": event.source, "what": "fish"})
    if not line or not event.to:
        return Booking((Draft(event, at, place=event.source),), (notice,))
    stage = event.stage or stage_in(role, "fry" if role in ("fry", "nursery") else "juveniles", line)
    target = Account(group=known(standing, event.batch) or line, place=event.to, stage=stage)
    fresh = count is not None and target.key not in standing.holdings
    posting = Posting(
        target=target,
        outside="start",
        count=count,
        male=event.male or 0,
        female=event.female or 0,
        counts=fresh,
        estimated=event.estimated,
    )
    draft = Draft(event, at, (posting,), known(standing, event.batch), event.source, line)
    return Booking((draft,), (notice, *crossing(event.to, {line}, standing)))


# ---- losses


def death(event: FishDied, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch and not event.line:
        return Booking(question=Question("where", event.outside()))
    place = event.spots[0] if event.spots else None
    if event.stage == "eggs":
        bad = BadEggsRemoved(place=place, batch=event.batch, count=event.count, date=event.date, time=event.time)
        return bad_eggs(bad, at, standing)
    fits = find(standing, "fish", place=place, batch=event.batch, line=event.line, stage=event.stage)
    if not fits and event.line:
        fits = find(standing, "fish", place=place, batch=event.batch, stage=event.stage)
    if not fits:
        draft = Draft(event, at, batch=known(standing, event.batch), place=place, line=event.line)
        return Booking((draft,), (Notice("nothing_on_record", {"place": place, "what": "fish"}),))
    sexed = {event.sex: event.count or 0} if event.sex else {}
    male, female = sexed.get("male", 0), sexed.get("female", 0)
    booking = _out(event, at, standing, fits, "died", event.count, male, female)
    total, counted = sum(h.count for h in fits), all(h.counted for h in fits)
    if booking.drafts and event.count and counted and event.count >= max(3, 0.1 * total):
        many = Notice("many_losses", {"count": event.count, "place": fits[0].place})
        booking = replace(booking, notices=(many, *booking.notices))
    return booking


# ---- head counts


def headcount(event: HeadsCounted, at: dt.datetime, standing: Standing) -> Booking:
    if not event.spots and not event.batch:
        return Booking(question=Question("where", event.outside()))
    both = event.male is not None and event.female is not None
    count = _heads(event.count, event.male, event.female) if both else event.count
    if asked := _over(event, count, event.male or 0, event.female or 0):
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
    draft = Draft(event, at, (), _batch_of(standing, fits), held.place or None, held.line)
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
            notices.append(_shared(fits, booked))
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
    posting = Posting(
        target=account,
        outside="start",
        count=count,
        male=event.male or 0,
        female=event.female or 0,
        counts=True,
        estimated=event.estimated,
    )
    return Booking((Draft(event, at, (posting,), known(standing, event.batch), place, line),))


# ---- out of the room and into it


def sale(event: FishSold, at: dt.datetime, standing: Standing) -> Booking:
    male, female = event.male or 0, event.female or 0
    count = _heads(event.count, event.male, event.female)
    if asked := _over(event, count, male, female):
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
    count = _heads(event.count, event.male, event.female)
    if asked := _over(event, count, event.male or 0, event.female or 0):
        return asked
    stage: Stage = event.stage or "adults"
    kept, name, place = standing.lines.get(event.line), event.batch, event.place or ""
    if stage == "eggs":
        name = name or standing.next_batch_name()
        place = place or ("peat bag" if kept and kept.eggs == "peat" else "")
    account = Account(group=name or event.line, place=place, stage=stage)
    posting = Posting(
        target=account,
        outside="moved_in",
        count=count,
        male=event.male or 0,
        female=event.female or 0,
        counts=count is not None and account.key not in standing.holdings,
    )
    notices = crossing(place, {event.line}, standing)
    if stage == "eggs":
        notices.append(Notice("no_lay_date", {"batch": name}))
    role = standing.places[place].role if place in standing.places else None
    if event.line == STRAY and role == "breeders":
        notices.append(Notice("not_identified", {"place": place}))
    draft = Draft(event, at, (posting,), name, place or None, event.line, laid_to=at if stage == "eggs" else None)
    return Booking((draft,), tuple(notices))
