"""What a standing lets go of with the years, and what it must not."""

from __future__ import annotations

import datetime as dt

import pytest

from shared.events import event_from
from shared.ledger.accounts import KEPT_MEASURES, KEPT_READINGS, KEPT_TIMES, Account, Posting
from shared.ledger.archive import ALL_LOOKED_OVER_EVERY
from shared.ledger.standing import Entry, Standing

BEGUN = dt.datetime(2026, 3, 2, 18, tzinfo=dt.UTC)
YEARS_LATER = BEGUN + dt.timedelta(days=900)


def entry(
    seq: int, at: dt.datetime, raw: dict[str, object], at_place: str | None = None, of: str | None = None
) -> Entry:
    return Entry(seq=seq, event=event_from(raw), at=at, said=at, person="p1", message=1, place=at_place, batch=of)


def after(*told: dict[str, object]) -> Standing:
    """How a room stands years after these were told, once all has been looked over."""
    standing = Standing()
    for number, raw in enumerate(told, 1):
        places = raw.get("places")
        place = places[0] if isinstance(places, list) else raw.get("place")
        standing.apply(entry(number, BEGUN + dt.timedelta(minutes=number), raw, str(place) if place else None))
    standing.apply(entry(ALL_LOOKED_OVER_EVERY, YEARS_LATER, {"kind": "remark", "text": "quiet"}))
    return standing


TANK = {"kind": "new_place", "place": "tank 1"}


@pytest.mark.parametrize(
    ("told", "kept"),
    [
        ([TANK, {"kind": "feed", "places": ["tank 1"]}], {"tank 1": ["feed"]}),
        ([{"kind": "feed", "places": ["the old jar"]}], {}),  # nobody set it up
        ([{"kind": "water_change", "places": ["tank 1"]}, TANK], {"tank 1": ["water", "look"]}),
    ],
)
def test_chores_stay_with_the_places_of_the_room(told: list[dict[str, object]], kept: dict[str, list[str]]) -> None:
    assert {place: list(chores) for place, chores in after(*told).chores.items()} == kept


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ([{"kind": "remind", "text": "order lids"}], ["order lids"]),  # nobody has done it yet
        ([{"kind": "remind", "text": "order lids"}, {"kind": "done", "task": "order lids"}], []),
        ([{"kind": "done", "task": "order lids"}, {"kind": "remind", "text": "order lids"}], ["order lids"]),
        ([{"kind": "remind", "text": "descale", "every_days": 700}, {"kind": "done", "task": "descale"}], ["descale"]),
        ([{"kind": "remind", "text": "wet the peat", "batch": "B1"}], []),  # the batch is gone
        ([{"kind": "remind", "text": "change the water of tank 1", "place": "tank 1"}], []),
    ],
)
def test_a_reminder_stays_until_it_is_answered(told: list[dict[str, object]], left: list[str]) -> None:
    assert [getattr(kept.event, "text", "") for kept in after(*told).reminders] == left


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ([{"kind": "done", "task": "thin out", "batch": "B1"}], set()),
        ([TANK, {"kind": "done", "task": "thin out", "place": "tank 1"}], {"thin out|tank 1"}),
        ([{"kind": "done", "task": "order lids"}], set()),
        ([{"kind": "done", "task": "water changes"}, {"kind": "done", "task": "ring Okafor"}], set()),
        # without it a reminder would seem never to have been done, a promise never to have been kept
        (
            [{"kind": "reserve", "buyer": "Okafor", "count": 2}, {"kind": "done", "task": "ring Okafor"}],
            {"ring Okafor|"},
        ),
        ([{"kind": "reserve", "line": "gularis", "count": 2}, {"kind": "done", "task": "2 gularis"}], {"2 gularis|"}),
        ([{"kind": "remind", "text": "descale", "every_days": 700}, {"kind": "done", "task": "descale"}], {"descale|"}),
    ],
)
def test_what_was_done_is_remembered_while_it_is_asked_for(told: list[dict[str, object]], left: set[str]) -> None:
    assert set(after(*told).done) == left


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ({"kind": "snooze", "task": "water change", "place": "tank 1"}, 0),
        ({"kind": "snooze", "task": "water change", "date": "2028-08-10"}, 1),  # nine days ago
        ({"kind": "snooze", "task": "ring Okafor"}, 1),  # no chore of ours: it waits until it is done
    ],
)
def test_a_chore_put_off_until_a_day_long_gone_is_put_off_no_more(told: dict[str, object], left: int) -> None:
    assert len(after(told).put_off) == left


def _setting(what: str, value: object, **more: object) -> dict[str, object]:
    return {"kind": "setting", "what": what, "value": value, **more}


@pytest.mark.parametrize(
    ("told", "left"),
    [
        ([_setting("water_every_days", 5), _setting("water_every_days", 7)], [7]),
        ([_setting("water_every_days", 5, place="tank 1"), _setting("water_every_days", 7)], [5, 7]),
        ([_setting("water_every_days", 5, weekday="sunday"), _setting("water_every_days", 7)], [5, 7]),
        ([_setting("off", "feed"), _setting("off", "pull_mop")], ["feed", "pull_mop"]),
        ([_setting("off", "feed"), _setting("on", "feed"), _setting("off", "feed")], ["feed", "feed"]),
        ([_setting("egg_changes_per_day", 2, batch="B1")], []),
    ],
)
def test_a_setting_stays_until_it_is_said_anew(told: list[dict[str, object]], left: list[object]) -> None:
    assert [getattr(kept.event, "value", None) for kept in after(*told).settings] == left


def test_a_setting_said_anew_lately_keeps_the_one_before_it() -> None:
    standing = after(_setting("water_every_days", 5))
    standing.apply(entry(2 * ALL_LOOKED_OVER_EVERY, YEARS_LATER, _setting("water_every_days", 7)))
    assert len(standing.settings) == 2  # what was due before today went by the old one


@pytest.mark.parametrize(
    ("quantity", "kept"), [("temperature", KEPT_MEASURES), ("length", KEPT_MEASURES), ("nitrate", KEPT_READINGS)]
)
def test_the_newest_readings_are_kept_in_the_order_they_were_taken(quantity: str, kept: int) -> None:
    standing, numbers = Standing(), list(range(50))
    for number in [*numbers[::2], *numbers[1::2]]:  # every second one told late
        at = BEGUN + dt.timedelta(hours=number)
        raw: dict[str, object] = {"kind": "measure", "quantity": quantity, "value": number}
        standing.apply(entry(number + 1, at, raw, "tank 1"))
    found = standing.readings["tank 1"][quantity]
    assert [r.value for r in found] == numbers[-kept:] == found.value
    assert found[-1].at == BEGUN + dt.timedelta(hours=49) and len(found) == kept
    assert Standing.model_validate_json(standing.model_dump_json()) == standing


@pytest.mark.parametrize(("chore", "kept"), [("look", KEPT_TIMES), ("water", 1)])
def test_of_most_chores_only_the_last_time_is_kept(chore: str, kept: int) -> None:
    standing = Standing()
    for number in range(40):
        at = BEGUN + dt.timedelta(hours=number)
        standing.apply(entry(number + 1, at, {"kind": "water_change", "places": ["tub 1"]}, "tub 1"))
    times = standing.times("tub 1", chore)
    assert len(times) == kept and times[-1] == standing.last("tub 1", chore) == BEGUN + dt.timedelta(hours=39)


def test_who_laid_the_eggs_still_here_is_not_forgotten() -> None:
    """However many groups pass through a tank, the parents of a batch that is still alive stay its parents."""
    standing, seq, at = Standing(), 0, BEGUN

    def say(batch: str | None = None, *postings: Posting, **raw: object) -> None:
        nonlocal seq, at
        seq, at = seq + 1, at + dt.timedelta(days=10)
        made = entry(seq, at, raw, "tank 1", batch)
        window = (at - dt.timedelta(days=2), at) if raw["kind"] == "pull" else (None, None)
        standing.apply(made.model_copy(update={"postings": postings, "laid_from": window[0], "laid_to": window[1]}))

    def passing(name: str) -> None:
        there = Account(group=name, place="tank 1", stage="adults")
        say(name, Posting(target=there, outside="start", count=4), kind="stock_in", place="tank 1")
        if name == "B1":
            eggs = Account(group="B2", place="tub 1", stage="eggs")
            say("B2", Posting(target=eggs, outside="pulled", count=30), kind="pull", place="tank 1", count=30)
        say(name, Posting(source=there, outside="sold", whole=True), kind="sale")

    passing("B1")
    assert standing.batches["B2"].parent_groups == ["B1"]
    for number in range(3, 60):
        passing(f"B{number}")
    assert standing.batches["B2"].parent_groups == ["B1"]
    assert len(standing.stays["tank 1"]) < 10
