"""The nightly message: what was found today, what was missed, what tomorrow holds, what is unlike this room.

It fits a telephone's screen; `short` fits two text messages. On Sundays the week's figures go with it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from bot import sentences as say
from bot.answers.found import Found, done
from bot.channels.gsm import folded, segments, shortened
from bot.routine.chore_list import WITH_WATER, eggs_named, in_a_row
from bot.talk.emergencies import going_on
from bot.talk.questions import OPEN_FOR
from bot.talk.unsettled import unsettled
from bot.unasked.night import MISSED_LATELY, Line, Night, few, late_by
from bot.unasked.unlike import unlike
from bot.unasked.week import week
from shared.due.house_rules import Routine
from shared.due.rounds import TICKED_BY
from shared.due.rules import Setting
from shared.due.tasks import NEVER, TWO_HOURS, DueTask, tasks_meant
from shared.ledger.standing import Standing
from storage.journal import RoomBook

MOST_LINES = 14
SHORT_PARTS = 2  # text messages of 153 septets
FORESEEN = (
    "treat", "promised", "wet_peat", "reminder", "move_up", "thin_out", "keep_apart", "pull_mop", "collect_peat",
    "culture_restart",
)  # fmt: skip
TONIGHT = ("draw_water", "start_brine_shrimp")
HABIT = dt.timedelta(days=14)  # a chore nobody logs for so long is not called missed each night
SUNDAY = 6


def nightly(
    book: RoomBook, now: dt.datetime, *, short: bool = False, late: bool = False, options: Sequence[str] = ()
) -> str:
    """The whole message as it would be sent at `now` (aware); one line when there is nothing to say.

    `short`: at most two text messages in the telephone's own alphabet, the `options` that will be put under it with
    their numbers among them. `late`: sent after its hour, and says so.
    """
    night = Night(book, now)
    lines = [
        *_going_on(night),
        *_found(night),
        *_told_late(night),
        *_missed(night),
        *unlike(night),
        *_expected(night),
        *_tonight(night),
        *_tomorrow(night),
        *(week(night) if night.now.weekday() == SUNDAY else ()),
        *_open(night),
    ]
    name = say.trimmed(book.info.name, 20) if short else book.info.name
    head = f"{name}, {say.day(night.now)}{f', {night.now:%H:%M} (sent late)' if late else ''}"
    if not lines:
        quiet = f"{head}: a quiet day, nothing missed."
        return folded(quiet) if short else quiet
    return _fitted(head, lines, options) if short else _whole(head, lines)


def weekly(book: RoomBook, now: dt.datetime, *, short: bool = False) -> str:
    """The week's figures up to `now` (aware), with those of the week before."""
    night = Night(book, now)
    lines = week(night)
    head = book.info.name if not short else say.trimmed(book.info.name, 20)
    return _fitted(head, lines) if short else "\n".join([head, *(line.text for line in lines)])


def nightly_picture(book: RoomBook, now: dt.datetime) -> bytes | None:
    """The small chart that goes with it, or None where there is too little to draw."""
    from bot.pictures.charts import nightly_chart

    return nightly_chart(book, book.standing(at=now), now)


def _whole(head: str, lines: list[Line]) -> str:
    """All lines in their order; where they are too many the ones that matter least go."""
    texts = [line.text for line in lines]
    if len(texts) >= MOST_LINES:
        first = sorted(range(len(lines)), key=lambda n: (lines[n].rank, n))[: MOST_LINES - 2]
        texts = [texts[n] for n in sorted(first)] + [f"… and {len(lines) - len(first)} more; ask “what's due”."]
    return "\n".join([head, *texts])


def _fitted(head: str, lines: Sequence[Line], options: Sequence[str] = ()) -> str:
    """The lines that matter most, in their order, as far as two text messages hold them beside the options."""
    kept: list[int] = []
    under = "\n" + " / ".join(f"{n} {option}" for n, option in enumerate(options, 1)) if options else ""

    def text(chosen: list[int]) -> str:
        left = len(lines) - len(chosen)
        tail = [f"+{left} more: ask what's due"] if left else []
        return folded("\n".join([head, *(lines[n].short for n in sorted(chosen)), *tail]))

    lines = [line for line in lines if line.short]
    for n in sorted(range(len(lines)), key=lambda n: (lines[n].rank, n)):
        if segments(text([*kept, n]) + under) <= SHORT_PARTS:
            kept.append(n)
    return shortened(text(kept), SHORT_PARTS)


# ---- today


def _going_on(night: Night) -> list[Line]:
    return [Line(text, text.partition(";")[0] + ".", 0) for text in going_on(night.book, night.now)]


def _found(night: Night) -> list[Line]:
    found = Found.of(night.today)
    parts, info = found.said(night.book.info), night.book.info
    lines = []
    if parts:
        lines.append(Line(f"Today: {say.listed(parts)}.", f"{', '.join(found.said(info, named=False))}.", 2))
    work = done(night.today)
    if work:
        lines.append(Line(f"Done: {', '.join(work)}.", f"Done: {', '.join(work)}.", 9))
    return lines


def _told_late(night: Night) -> list[Line]:
    """What was told after last night's message but happened before today: no message has said it yet."""
    since = night.midnight - dt.timedelta(days=14)
    before = [
        e
        for e in night.book.entries(since=since, until=night.midnight - dt.timedelta(seconds=1))
        if night.last_night < e.said <= night.now and e.event.kind in ("pull", "hatch", "move", "death", "sale")
    ]
    parts = Found.of(before).said(night.book.info)
    return [Line(f"Of the days before, told since: {say.listed(parts)}.", f"Before: {', '.join(parts)}.", 7)] * bool(
        parts
    )


def missed(book: RoomBook, now: dt.datetime) -> list[DueTask]:
    """What a night's message calls missed."""
    return _missed_tasks(Night(book, now))


def _trip(night: Night) -> Setting | None:
    """The trip that is on, where somebody does the room meanwhile and need write nothing down."""
    said = Routine.of(night.standing).settings
    trips = [s for s in said if s.key == "away" and s.person and s.dated and s.runs_on(night.now.date())]
    return trips[-1] if trips else None


def _missed_tasks(night: Night) -> list[DueTask]:
    if _trip(night):
        return []
    late = [
        t
        for t in night.tasks
        if t.grace != NEVER
        and t.task not in TONIGHT
        and TWO_HOURS <= late_by(t, night.now) <= MISSED_LATELY
        and _kept_up(night.standing, t, night.now)
    ]
    tubs = {t.place for t in late if t.task == "egg_water"}  # whose look and picking go with the water
    return [t for t in late if t.first or t.text or t.task not in WITH_WATER or t.place not in tubs]


def _missed(night: Night) -> list[Line]:
    if (trip := _trip(night)) and trip.last_day:
        until = say.day(trip.last_day)
        return [Line(f"{trip.person} does it until {until}; nothing need be logged.", f"{trip.person} does it.", 4)]
    late = _missed_tasks(night)
    if not late:
        return []
    late.sort(key=lambda t: not t.first)
    return [Line(f"Not logged: {in_a_row(late, 4)}.", f"Not logged: {in_a_row(late, 4, bare=True)}.", 4)]


def _kept_up(standing: Standing, task: DueTask, now: dt.datetime) -> bool:
    """Whether a chore is one this room logs: somewhere within a fortnight, or the room is new."""
    ticks = TICKED_BY.get(task.task)
    if ticks is None or standing.begun is None or now - standing.begun < HABIT:
        return True
    kinds = {t.partition(":")[0] for t in ticks}
    logged = [
        chore.last
        for there in standing.chores.values()
        for what, chore in there.items()
        if what.partition(":")[0] in kinds
    ]
    said = [at for key, at in standing.done.items() if task.task in tasks_meant(key.rpartition("|")[0])]
    return any(at and now - at < HABIT for at in (*logged, *said))


# ---- ahead


def _expected(night: Night) -> list[Line]:
    """Batches whose fry may be seen by the end of tomorrow, the soonest first."""
    end = night.midnight + dt.timedelta(days=2)
    looked_for = sorted(
        (w.earliest, name) for name, w in night.windows.items() if w.earliest < end and night.now <= w.latest
    )
    names = [name for _, name in looked_for]
    if not names:
        return []
    opens = [n for at, n in looked_for if at > night.now]
    new = f" {say.listed(opens)} from tomorrow." if opens and len(opens) < len(names) else ""
    head = "Fry may come from tomorrow" if len(opens) == len(names) else "Fry may come"
    return [Line(f"{head}: {eggs_named(night.standing, names)}.{new}", f"Fry may come: {few(names)}.", 3)]


def _tonight(night: Night) -> list[Line]:
    """What has to be begun before the lights go out, so that it is there tomorrow."""
    if (trip := _trip(night)) and trip.last_day and trip.last_day > night.now.date():
        return []  # not on the list whoever does the room was given
    due = {t.task: t for t in night.tasks if t.task in TONIGHT and t.due <= night.now}
    lines = []
    if (water := due.get("draw_water")) and _kept_up(night.standing, water, night.now):
        lines.append(Line(f"Tonight: draw water ({water.why}).", f"Draw {water.why.partition(':')[0]} of water.", 7))
    if shrimp := due.get("start_brine_shrimp"):
        lines.append(Line(f"Tonight: start brine shrimp ({shrimp.why}).", "Start brine shrimp.", 6))
    return lines


def _tomorrow(night: Night) -> list[Line]:
    day = night.now.date() + dt.timedelta(days=1)
    mine = [t for chore in FORESEEN for t in night.tasks if t.task == chore and t.due.date() == day]
    if not mine:
        return []
    return [Line(f"Tomorrow: {in_a_row(mine, 5)}.", f"Tomorrow: {in_a_row(mine, 3)}.", 5)]


def _open(night: Night) -> list[Line]:
    asked = [q for q in night.book.questions_open(since=night.now - OPEN_FOR) if q.asked_at <= night.now]
    return [Line(f"Still to settle: {text}", short, 8) for text, short in unsettled(night.book, asked, night.now)]
