"""Fish and eggs moved: into another place or stage, into another batch, or off into a batch of their own."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TypeAlias

from shared.events import FishMoved, Stage
from shared.kin.lineage import STRAY, UNKNOWN, generation_label
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
    too_many,
)
from shared.ledger.egg_booking import before_laid, hatching, near_to
from shared.ledger.sharing import batch_of, heads, mixed, over_sexed, parts_of
from shared.ledger.standing import Account, Holding, Posting, Side, Standing

NEW = "new"  # what fish are said to join when they are split off as a batch of their own


def stage_in(role: str | None, stage: Stage, line: str = "") -> Stage:
    """What fish are called once they stand in a place of that role; unknown fish are nobody's breeders."""
    if stage == "eggs":
        return "eggs"
    if role == "grow-out" and stage == "fry":
        return "juveniles"
    if role == "breeders" and line != STRAY:
        return "adults"
    return stage


def move(event: FishMoved, at: dt.datetime, standing: Standing) -> Booking:
    """A move, a merging (`joins`), or eggs that must have hatched on the way; without a count all of them go."""
    if event.joins and event.batch:
        return _merge(event, at, standing)
    if not event.source and not event.batch and not event.line:
        return Booking(question=Question("where", event.outside()))
    if not event.to or event.to == event.source:
        return Booking(question=Question("where", event.outside(), {"missing": "to"}))
    count = heads(event.count, event.male, event.female)
    if asked := over_sexed(event, count, event.male or 0, event.female or 0):
        return asked
    fits = _meant(event, standing)
    role = standing.places[event.to].role if event.to in standing.places else None
    if not fits:
        return _move_unlogged(event, at, standing, role, count)
    if len(fits) > 1 and not (count is None and event.source) and not mixed(fits):
        return ask_group(event, fits)
    notices = crossing(event.to, {h.line for h in fits}, standing)
    if role == "breeders" and any(h.line == STRAY for h in fits):
        notices.append(Notice("not_identified", {"place": event.to}))
    drafts: list[Draft] = []
    fish = [h for h in fits if h.stage != "eggs"]
    for found in (
        _eggs_moved(event, at, standing, [h for h in fits if h.stage == "eggs"], count, role),
        _fish_moved(event, at, standing, fish, count, role),
    ):
        if isinstance(found, Booking):
            return found
        drafts += found[0]
        notices += found[1]
    notices += _apart(drafts, standing)
    return Booking(tuple(drafts), (*notices, *_mixing(event.to, fish, role, standing)))


def _meant(event: FishMoved, standing: Standing) -> list[Holding]:
    """What is moved: fish where there are any, else eggs; of the line said, or what stands there under another."""
    sides: tuple[Side, ...] = ("eggs",) if event.stage == "eggs" else ("fish", "eggs")
    fits: list[Holding] = []
    for side in sides:
        fits = find(standing, side, place=event.source, batch=event.batch, line=event.line, stage=event.stage)
        if not fits and event.line and event.line != STRAY and event.source:
            fits = find(standing, side, place=event.source, batch=event.batch, stage=event.stage)
        fits = [h for h in fits if h.place != event.to]
        if fits:
            break
    if event.stage == "eggs" and not event.source and any(not h.place for h in fits):
        return [h for h in fits if not h.place]  # the eggs still in hand, of a batch partly in its tub
    return fits


_Moved: TypeAlias = tuple[list[Draft], list[Notice]]


def _eggs_moved(
    event: FishMoved, at: dt.datetime, standing: Standing, eggs: list[Holding], count: int | None, role: str | None
) -> _Moved | Booking:
    """Eggs set elsewhere, or hatched by the time they go where no eggs are kept; or what is asked or done instead."""
    drafts: list[Draft] = []
    notices: list[Notice] = []
    for held in eggs:
        if event.stage != "eggs" and (event.stage or role in ("fry", "nursery", "grow-out")):
            if asked := before_laid(event, at, held, standing):
                return asked
            made, more = hatching(event, at, held, count, event.to or "", event.estimated)
            drafts += list(made)
            notices += [*more, Notice("implied_hatch", {"batch": held.group, "count": count})]
            continue
        if count is not None and held.counted and count > held.count:
            return too_many(event, count, [held])
        if settled := _into_tub(event, at, held, standing, count is None):
            return settled
        drafts.append(_moved(event, at, standing, [(held, count, 0, 0)], role))
    return drafts, notices


def _fish_moved(
    event: FishMoved, at: dt.datetime, standing: Standing, fish: list[Holding], count: int | None, role: str | None
) -> _Moved | Booking:
    """All the fish, each group by itself, or so many of them; or what is asked first."""
    if count is None or not fish:
        return [_moved(event, at, standing, [(h, None, 0, 0)], role) for h in fish], []
    parts = parts_of(event, count, event.male or 0, event.female or 0, fish)
    if isinstance(parts, Booking):
        return parts
    return [_moved(event, at, standing, parts[0], role)], list(parts[1])


def of_another_generation(standing: Standing, line: str, place: str, label: str | None) -> bool:
    """Whether unbatched fish of the line stand in a place that are of another generation than these, F1 beside F2."""
    there = [h for h in standing.fish_at(place) if h.group == line]
    called = {generation_label(each) for h in there for each in standing.generations_of(h)}
    return bool(label and label != UNKNOWN and there) and called != {generation_label(label)}


def _group_there(held: Holding, event: FishMoved, standing: Standing) -> str:
    """As what fish stand where they go: of another generation than the line's fish there, as a batch of their own."""
    labels = standing.generations_of(held)
    if held.group != held.line or held.stage == "eggs" or held.line == STRAY or len(labels) != 1:
        return held.group
    apart = of_another_generation(standing, held.line, event.to or "", labels[0])
    return standing.next_batch_name() if apart else held.group


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
        if stage == "fry" and (male or female):
            stage = "juveniles"  # fish whose sexes can be told are fry no more, and may be parents
        group = _group_there(held, event, standing)
        target = Account(group=group, place=event.to or "", stage=stage)
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
    batch = batch_of(standing, [h for h, *_ in parts])
    if len(parts) == 1 and group != held.group:
        batch = group
    return Draft(event, at, tuple(postings), batch, held.place or None, held.line)


def _apart(drafts: Sequence[Draft], standing: Standing) -> list[Notice]:
    """Said of fish that became a batch on the way because others of another generation stand where they went."""
    fresh = {
        p.target.group: (p.source, p.target)
        for draft in drafts
        for p in draft.postings
        if p.source and p.target and p.source.group in standing.lines and p.target.group != p.source.group
    }
    notices = []
    for name, (source, target) in fresh.items():
        label = standing.generations_of(standing.holdings[source.key])[0]
        notices.append(Notice("counted_apart", {"batch": name, "generation": label, "place": target.place}))
    return notices


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
    postings = tuple(_joining(event, h, other or "", standing, partly=partly) for h in held)
    place = event.to or held[0].place or None
    draft = Draft(event, at, postings, other, place, batch.line, batch.laid_from, batch.laid_to)
    notices = [Notice("joined", {"batch": other, "place": event.to})]
    if into and batch.generation and into.generation and batch.generation != into.generation:
        labels = [into.generation, batch.generation]
        notices.append(Notice("two_generations", {"batch": other, "labels": labels}))
    if into and into.line != batch.line:
        notices.append(Notice("two_lines", {"batch": other, "lines": [into.line, batch.line]}))
    return Booking((draft,), tuple(notices))


def _joining(event: FishMoved, held: Holding, other: str, standing: Standing, *, partly: bool) -> Posting:
    """All of a holding, or so many of it, into another batch."""
    target = held.account.model_copy(update={"group": other, "place": event.to or held.place})
    if not partly or (held.counted and event.count == held.count):
        return Posting(source=held.account, target=target, count=event.count, whole=True)
    return Posting(
        source=held.account,
        target=target,
        count=event.count,
        male=min(event.male or 0, held.male + held.unsexed),
        female=min(event.female or 0, held.female + held.unsexed),
        counts=target.key not in standing.holdings,
    )


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
    posting = coming(event, count, target, "start", counts=fresh)
    draft = Draft(event, at, (posting,), known(standing, event.batch), event.source, line)
    return Booking((draft,), (notice, *crossing(event.to, {line}, standing)))
