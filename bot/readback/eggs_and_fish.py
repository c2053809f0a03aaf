"""Eggs and fish read back: what was found, where, and what is left."""

from __future__ import annotations

from typing import TypeAlias

from bot import sentences as say
from bot.readback.told import Told, about, of_batch, sexes
from shared.events import (
    BadEggsRemoved,
    BatchOpened,
    EggsEyed,
    EggsPulled,
    FishDied,
    FishMoved,
    FryHatched,
    HeadsCounted,
)
from shared.ledger.standing import cause_of

EggsOrFish: TypeAlias = (
    EggsPulled | BadEggsRemoved | EggsEyed | FryHatched | FishMoved | FishDied | HeadsCounted | BatchOpened
)


def text(event: EggsOrFish, told: Told) -> str:
    """Such an event in a line."""
    match event:
        case EggsPulled():
            return _pulled(event, told)
        case BadEggsRemoved():
            return _bad_out(event, told)
        case EggsEyed():
            return _eyed(event, told)
        case FryHatched():
            return _hatched(event, told)
        case FishMoved():
            return _moved(event, told)
        case FishDied():
            return _died(event, told)
        case HeadsCounted():
            return _counted(event, told)
        case BatchOpened():
            return _opened(event)


def _pulled(event: EggsPulled, told: Told) -> str:
    where = say.places(event.spots) or told.batch or ""
    if event.count == 0:
        return f"{where}: no eggs"
    line = f", {told.line}" if told.line and told.line != "unknown" else ""
    joined = "Joins" if told.noticed("joined") else "Batch"
    into = f" in {event.to}" if event.to else f", in {event.medium}" if event.medium else ""
    return f"{where}: {about(event)}{say.count(event.count, 'egg')}{line}. {joined} {told.batch}{into}"


def _bad_out(event: BadEggsRemoved, told: Told) -> str:
    where = told.where(event.spots)
    if event.count == 0:
        return f"{where}: no bad eggs{of_batch(told.batch)}"
    bad = "bad eggs" if event.count is None else say.count(event.count, "bad egg")
    left = told.left(told.batch, "eggs")
    return f"{where}: {about(event)}{bad} out{f', {left}' if left else ''}{of_batch(told.batch)}"


def _eyed(event: EggsEyed, told: Told) -> str:
    seen = "eyed" if event.count is None else ("none eyed yet" if event.count == 0 else f"{event.count} eyed")
    return f"{told.where(event.spots)}: {seen}{of_batch(told.batch)}"


def _hatched(event: FryHatched, told: Told) -> str:
    left = told.left(told.batch, "eggs")
    fry = "fry hatched" if event.count is None else f"{about(event)}{say.fish(event.count, 'fry')} hatched"
    eggs = f", {left.replace(' left', '')} eggs left" if left and left != "none left" else ""
    return f"{told.where(event.spots)}: {fry}{eggs}{of_batch(told.batch)}"


def _died(event: FishDied, told: Told) -> str:
    cause = cause_of(event.cause)
    how = "dead" if cause == "found" else cause
    losses = "losses noted" if event.count is None else f"{about(event)}{event.count} {how}"
    group = told.batch or told.line or ""
    mixed = told.shared()
    if mixed:
        group, left = mixed[0], f", {say.number(mixed[1])} left"
    else:
        left = _live_left(group, told)
    return f"{told.where(event.spots)}: {losses}{left}{of_batch(group)}"


def _live_left(group: str, told: Told) -> str:
    if told.entry is None:
        return ""
    fish = [h for h in told.standing.of_group(group) if h.place == (told.place or "") and h.stage != "eggs"]
    if not fish:
        return ", none left" if told.entry.postings else ""
    return "" if fish[0].number is None else f", {about(fish[0])}{say.number(fish[0].count)} left"


def _counted(event: HeadsCounted, told: Told) -> str:
    where = told.where(event.spots)
    total = event.count if event.count is not None else (event.male or 0) + (event.female or 0)
    if event.count is None and None in (event.male, event.female):
        sex = "female" if event.male is None else "male"
        return f"{where}: {say.count(total, sex)} known{of_batch(told.batch)}"
    if event.difference:
        return f"{where}: {total} there now, the rest unaccounted for"
    return f"{where}: {about(event)}{total} counted{sexes(event.male, event.female)}{of_batch(told.batch)}"


def _moved(event: FishMoved, told: Told) -> str:
    heads = (event.male or 0) + (event.female or 0) or None
    number = event.count if event.count is not None else heads
    if event.joins == "new":
        return f"{event.batch}: {say.number(number) if number else 'all'} split off as {told.batch}"
    if event.joins:
        some = f"{say.number(number)} of " if number else ""
        return f"{some}{event.batch} {'are' if some else 'is'} now part of {event.joins}"
    how = "all" if number is None else f"{about(event)}{say.number(number)}"
    if event.batch and told.batch and event.batch != told.batch:  # it joined another batch before
        return f"{event.batch}: {how} to {event.to}, with {told.batch}"
    return _to_a_place(event, how, number, told)


def _to_a_place(event: FishMoved, how: str, number: int | None, told: Told) -> str:
    group = told.batch or told.line or event.line or "fish"
    source = told.place if told.entry else event.source
    path = f" from {source}" if source and source != event.to else ""
    left = [h for h in told.standing.of_group(group) if h.place == (source or "")]
    still = say.listed(f"{about(h)}{say.fish(h.number, h.stage)}" for h in left)
    stays = f". {say.first_up(still)} left in {source}" if left and source else ""
    mixed = told.shared()
    if mixed and number is not None:
        group, stays = mixed[0], f". {mixed[1]} left in {source}"
    if source == event.to:
        stays = ""
    return f"{group}: {how}{path} to {event.to}{stays}"


def _opened(event: BatchOpened) -> str:
    return f"{event.batch}: {about(event)}{say.fish_of(event.count, event.line, event.stage)} in {event.place}"
