"""Postings carried out: fish leave one account and come to another, and the tallies say how."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from shared.events import FishDied, StockArrived
from shared.kin.descent import bring, came_earlier, labels_at, leave, stand
from shared.kin.lineage import generation_label
from shared.ledger.accounts import Account, Entry, Holding, Posting, Side, Tally, cause_of, side_of

if TYPE_CHECKING:
    from shared.ledger.standing import Standing


def post(standing: Standing, entry: Entry, posting: Posting) -> None:
    """Carry one posting out: out of the source, into the target, and into the tallies."""
    source = standing.holdings.get(posting.source.key) if posting.source else None
    count = posting.count
    was_counted = source is not None and source.counted
    if posting.whole:
        count = source.count if source else 0
    if posting.source:
        _take(standing, entry, posting, source, count)
    if posting.target:
        _put(standing, entry, posting, source, count)
    _tally(standing, entry, posting, count, known=count is not None and (not posting.whole or was_counted))


def _held(standing: Standing, account: Account, at: dt.datetime) -> Holding:
    """What stands in an account, begun where nothing did."""
    holding = standing.holdings.get(account.key)
    if holding is None:
        holding = Holding(
            group=account.group,
            line=standing.line_of(account.group),
            place=account.place,
            stage=account.stage,
            since=at,
        )
        standing.holdings[account.key] = holding
        stand(standing, holding, at)
    return holding


def _emptied(standing: Standing, holding: Holding, at: dt.datetime) -> None:
    del standing.holdings[holding.account.key]
    leave(standing, holding, at)


def _sexed(holding: Holding, posting: Posting) -> None:
    """Keep the sexes to what is certain: fish lost whose sex nobody said may have been any of them."""
    if posting.sexes:
        holding.male, holding.female = posting.sexes
    over = holding.male + holding.female - holding.count
    if holding.counted and over > 0:
        holding.male, holding.female = max(0, holding.male - over), max(0, holding.female - over)
    if posting.recount:
        holding.estimated = posting.estimated


def _take(standing: Standing, entry: Entry, posting: Posting, source: Holding | None, count: int | None) -> None:
    assert posting.source is not None
    if posting.whole:
        if source:
            _emptied(standing, source, entry.at)
        return
    source = source or _held(standing, posting.source, entry.at)
    if count is not None:
        source.count -= count
    if count is None or posting.estimated:  # how many are left of them is no better known
        source.estimated = True
    if posting.male or posting.female:
        source.male = max(0, source.male - posting.male)
        source.female = max(0, source.female - posting.female)
    if (
        count is not None and (source.male or source.female) and not source.counted
    ):  # any of the unsexed ones lost may be of those once sexed
        unsaid = max(0, count - posting.male - posting.female)
        source.male, source.female = max(0, source.male - unsaid), max(0, source.female - unsaid)
    _sexed(source, posting)
    if source.counted and source.count == 0:
        _emptied(standing, source, entry.at)


def _put(standing: Standing, entry: Entry, posting: Posting, source: Holding | None, count: int | None) -> None:
    assert posting.target is not None
    fresh = posting.target.key not in standing.holdings
    target = _held(standing, posting.target, entry.at)
    if target.group not in standing.batches:
        bring(standing, target, _labels(standing, entry, posting), entry.at, fresh=fresh)
    came_earlier(standing, target, entry.at)
    was_counted = target.counted or fresh
    carried = source is None or source.counted or not posting.whole
    if count is None:
        target.counted = False
    else:
        target.count += count
        target.counted = posting.counts or (was_counted and carried)
    target.estimated = target.estimated or posting.estimated or bool(posting.whole and source and source.estimated)
    if posting.male or posting.female:
        target.male += posting.male
        target.female += posting.female
    if posting.whole and source is not None and (source.male or source.female):
        target.male += source.male
        target.female += source.female
    _sexed(target, posting)
    if target.counted and target.count == 0:
        _emptied(standing, target, entry.at)


def _labels(standing: Standing, entry: Entry, posting: Posting) -> list[str | None]:
    """Which generations the fish that come are of, as far as that is other than what their line is called."""
    if isinstance(entry.event, StockArrived):
        said = generation_label(entry.event.generation)
        return [said or standing.generation_of(posting.target.group if posting.target else "")]
    if posting.source and posting.target and posting.source.group == posting.target.group:
        return labels_at(standing, posting.source.place, posting.source.group, entry.at)
    return []


def _tally(standing: Standing, entry: Entry, posting: Posting, count: int | None, known: bool) -> None:
    """Write a posting into the groups' sums."""
    source, target = posting.source, posting.target

    def own(group: str, side: Side) -> Tally:
        batch = standing.batches.get(group)
        return batch.tally(side) if batch else standing.group_tallies.setdefault(f"{group}|{side}", Tally())

    def add(group: str, side: Side, name: str) -> None:
        tally = own(group, side)
        if not known and name not in tally.unknown:
            tally.unknown.append(name)
        setattr(tally, name, getattr(tally, name) + (count or 0))

    if source and target:
        sides = side_of(source.stage), side_of(target.stage)
        if sides == ("eggs", "fish"):
            add(source.group, "eggs", "hatched")
            if source.group == target.group:
                add(target.group, "fish", "hatched")
            else:
                add(source.group, "fish", "hatched")
                add(source.group, "fish", "moved_out")
                add(target.group, "fish", "moved_in")
        elif source.group != target.group:
            add(source.group, sides[0], "moved_out")
            add(target.group, sides[1], "moved_in")
    elif target and posting.outside:
        if posting.outside == "unaccounted":
            tally = own(target.group, side_of(target.stage))
            tally.unaccounted -= count or 0
        else:
            add(target.group, side_of(target.stage), posting.outside)
    elif source and posting.outside:
        add(source.group, side_of(source.stage), posting.outside)
        if isinstance(entry.event, FishDied) and count:
            cause = cause_of(entry.event.cause)
            if cause != "found":
                tally = own(source.group, side_of(source.stage))
                setattr(tally, cause, getattr(tally, cause) + count)
