"""The nightly message: what was found today, what was missed, what tomorrow holds, what is unlike this room.

It fits a telephone's screen; `short` fits two text messages. On Sundays the week's figures go with it.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from bot import sentences as say
from bot.answers.found import Found, done
from bot.channels.gsm import folded, segments, shortened
from bot.routine.chore_list import WITH_WATER, in_a_row
from bot.routine.chores import due_list, windows, zone_of
from bot.talk.emergencies import going_on
from bot.talk.questions import OPEN_FOR
from bot.talk.unsettled import unsettled
from shared.due.house_rules import Routine
from shared.due.rounds import TICKED_BY
from shared.due.routine import DueTask, HatchWindow
from shared.due.rules import Setting
from shared.due.tasks import NEVER, TWO_HOURS, tasks_meant
from shared.due.unlike import many_deaths, out_of_band, stopped_laying
from shared.ledger.standing import Entry, Standing, cause_of
from storage.journal import RoomBook

MOST_LINES = 14
SHORT_PARTS = 2  # text messages of 153 septets
FORESEEN = (
    "treat", "promised", "wet_peat", "reminder", "move_up", "thin_out", "keep_apart", "pull_mop", "collect_peat",
    "culture_restart",
)  # fmt: skip
TONIGHT = ("draw_water", "start_brine_shrimp")
MISSED_LATELY = dt.timedelta(days=3)  # what waits longer is said on Sundays only
HABIT = dt.timedelta(days=14)  # a chore nobody logs for so long is not called missed each night
SUNDAY = 6
MOST_NAMED = 4


@dataclass(frozen=True)
class Line:
    """One line of the message: in full, as few words, and how soon it goes where there is little room (0 stays)."""

    text: str
    short: str
    rank: int


@dataclass
class _Night:
    """All that a night's message is made from."""

    book: RoomBook
    now: dt.datetime

    def __post_init__(self) -> None:
        self.standing = self.book.standing(at=self.now)
        zone = zone_of(self.standing, self.book)
        self.now = self.now.astimezone(zone)
        self.midnight = dt.datetime.combine(self.now.date(), dt.time(0), zone)
        self.today = self.book.entries(since=self.midnight, until=self.now)
        self.tasks = due_list(self.standing, self.book, self.now, days=2)
        self.windows: dict[str, HatchWindow] = windows(self.standing, self.now)
        nightly_at = Routine.of(self.standing).nightly_at
        self.last_night = dt.datetime.combine(self.now.date() - dt.timedelta(days=1), nightly_at, zone)


def nightly(
    book: RoomBook, now: dt.datetime, *, short: bool = False, late: bool = False, options: Sequence[str] = ()
) -> str:
    """The whole message as it would be sent at `now` (aware); one line when there is nothing to say.

    `short`: at most two text messages in the telephone's own alphabet, the `options` that will be put under it with
    their numbers among them. `late`: sent after its hour, and says so.
    """
    night = _Night(book, now)
    lines = [
        *_going_on(night),
        *_found(night),
        *_told_late(night),
        *_missed(night),
        *_unlike(night),
        *_expected(night),
        *_tonight(night),
        *_tomorrow(night),
        *(_week(night) if night.now.weekday() == SUNDAY else ()),
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
    night = _Night(book, now)
    lines = _week(night)
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


def _going_on(night: _Night) -> list[Line]:
    return [Line(text, text.partition(";")[0] + ".", 0) for text in going_on(night.book, night.now)]


def _found(night: _Night) -> list[Line]:
    found = Found.of(night.today)
    parts, info = found.said(night.book.info), night.book.info
    lines = []
    if parts:
        lines.append(Line(f"Today: {say.listed(parts)}.", f"{', '.join(found.said(info, named=False))}.", 2))
    work = done(night.today)
    if work:
        lines.append(Line(f"Done: {', '.join(work)}.", f"Done: {', '.join(work)}.", 9))
    return lines


def _told_late(night: _Night) -> list[Line]:
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
    return _missed_tasks(_Night(book, now))


def _trip(night: _Night) -> Setting | None:
    """The trip that is on, where somebody does the room meanwhile and need write nothing down."""
    said = Routine.of(night.standing).settings
    trips = [s for s in said if s.key == "away" and s.person and s.dated and s.runs_on(night.now.date())]
    return trips[-1] if trips else None


def _missed_tasks(night: _Night) -> list[DueTask]:
    if _trip(night):
        return []
    late = [
        t
        for t in night.tasks
        if t.grace != NEVER
        and t.task not in TONIGHT
        and TWO_HOURS <= _since(t, night.now) <= MISSED_LATELY
        and _kept_up(night.standing, t, night.now)
    ]
    tubs = {t.place for t in late if t.task == "egg_water"}  # whose look and picking go with the water
    return [t for t in late if t.first or t.text or t.task not in WITH_WATER or t.place not in tubs]


def _missed(night: _Night) -> list[Line]:
    if (trip := _trip(night)) and trip.last_day:
        until = say.day(trip.last_day)
        return [Line(f"{trip.person} does it until {until}; nothing need be logged.", f"{trip.person} does it.", 4)]
    late = _missed_tasks(night)
    if not late:
        return []
    late.sort(key=lambda t: not t.first)
    return [Line(f"Not logged: {in_a_row(late, 4)}.", f"Not logged: {in_a_row(late, 4, bare=True)}.", 4)]


def _since(task: DueTask, now: dt.datetime) -> dt.timedelta:
    return now.astimezone(dt.UTC) - task.due.astimezone(dt.UTC)


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


# ---- what is unlike


def _unlike(night: _Night) -> list[Line]:
    return [*_deaths(night), *_stopped(night), *_readings(night), *_past(night)]


def _deaths(night: _Night) -> list[Line]:
    died = Found.of(night.today).dead
    month = night.midnight - dt.timedelta(days=28)
    begun = night.standing.begun or night.midnight
    days = min(28, (night.midnight.date() - begun.astimezone(night.now.tzinfo).date()).days)
    per_day: Counter[dt.date] = Counter()
    for entry in night.book.entries(kinds=("death",), since=month, until=night.midnight - dt.timedelta(seconds=1)):
        if cause_of(getattr(entry.event, "cause", None)) != "culled":
            per_day[entry.at.astimezone(night.now.tzinfo).date()] += getattr(entry.event, "count", 0) or 0
    before = [per_day[night.now.date() - dt.timedelta(days=n)] for n in range(1, days + 1)]
    if not many_deaths(died.number, before):
        return []
    usual = f", against {say.number(round(sum(before) / days, 1))} a day in {days} days" if days else ""
    where = f" ({', '.join(f'{n} in {place}' for place, n in died.by.most_common(3))})" if died.by else ""
    text = f"More deaths than usual: {died.number}{usual}{where}. Test the water there."
    return [Line(text, f"Many deaths: {died.number}{where}.", 1)]


def _stopped(night: _Night) -> list[Line]:
    """Tanks that gave nothing twice running, said on the night of the second time."""
    pulled = {s for e in night.today if e.event.kind == "pull" for s in getattr(e.event, "spots", ())}
    lines = []
    for name in sorted(pulled):
        pulls = night.book.entries(name=name, kinds=("pull",), until=night.now, limit=10, newest_first=True)
        counts = [c for e in pulls if (c := getattr(e.event, "count", None)) is not None and name in _spots(e)]
        usual = stopped_laying(counts[::-1])
        if usual is not None:
            about = say.number(round(usual))
            text = f"{name} has stopped laying: nothing twice running, {about} a pull before."
            lines.append(Line(text, f"{name} no eggs twice.", 3))
    return lines


def _spots(entry: Entry) -> tuple[str, ...]:
    return tuple(getattr(entry.event, "spots", ()))


def _readings(night: _Night) -> list[Line]:
    lines = []
    taken = night.standing.readings
    for where, quantity in sorted((where, quantity) for where, there in taken.items() for quantity in there):
        kept = taken[where][quantity]
        latest = kept[-1]
        if not where or latest.at < night.midnight:
            continue
        odd, usual = out_of_band(quantity, latest.value, kept.value[:-1])
        if odd:
            units = night.book.info.units
            reading = say.reading(quantity, latest.value, units)
            than = f", usually {say.reading(quantity, usual, units)}" if usual is not None else ""
            lines.append(Line(f"{where}: {reading} at the last test{than}.", f"{where} {reading}.", 1))
    return lines


def _past(night: _Night) -> list[Line]:
    """Batches whose window closed since the last two messages; each is said no longer than that."""
    past = [n for n, w in night.windows.items() if dt.timedelta(0) < night.now - w.latest < dt.timedelta(days=2)]
    if not past:
        return []
    names = eggs_named(night.standing, past)
    return [
        Line(f"Past the window: {names}. Look for white or clear eggs.", f"Past window: {_few(past)}.", 5),
    ]


# ---- ahead


def _expected(night: _Night) -> list[Line]:
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
    return [Line(f"{head}: {eggs_named(night.standing, names)}.{new}", f"Fry may come: {_few(names)}.", 3)]


def eggs_named(standing: Standing, names: Sequence[str]) -> str:
    """`B21 in tub A, B24 in tub D`, very many with their number."""
    said = []
    for name in names[:MOST_NAMED]:
        spot = next((h.place for h in standing.of_group(name) if h.place and h.stage == "eggs"), "")
        said.append(f"{name} in {spot}" if spot else name)
    more = len(names) - MOST_NAMED
    return f"{', '.join(said)} and {more} more" if more > 0 else say.listed(said)


def _few(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return f"{', '.join(names[:MOST_NAMED])} +{more}" if more > 0 else ", ".join(names)


def _tonight(night: _Night) -> list[Line]:
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


def _tomorrow(night: _Night) -> list[Line]:
    day = night.now.date() + dt.timedelta(days=1)
    mine = [t for chore in FORESEEN for t in night.tasks if t.task == chore and t.due.date() == day]
    if not mine:
        return []
    return [Line(f"Tomorrow: {in_a_row(mine, 5)}.", f"Tomorrow: {in_a_row(mine, 3)}.", 5)]


def _open(night: _Night) -> list[Line]:
    asked = [q for q in night.book.questions_open(since=night.now - OPEN_FOR) if q.asked_at <= night.now]
    return [Line(f"Still to settle: {text}", short, 8) for text, short in unsettled(night.book, asked, night.now)]


# ---- the week


def _week(night: _Night) -> list[Line]:
    """Seven days up to now, the seven before in brackets; what stands, and what has waited long."""
    start = night.midnight - dt.timedelta(days=6)
    this = Found.of(night.book.entries(since=start, until=night.now))
    earlier = start - dt.timedelta(days=7)
    last = Found.of(night.book.entries(since=earlier, until=start - dt.timedelta(seconds=1)))
    span = say.span(start, night.now, zone_of(night.standing, night.book))
    pairs = (
        (this.eggs, last.eggs, "eggs"),
        (this.hatched, last.hatched, "hatched"),
        (this.bad, last.bad, "bad eggs"),
        (this.dead, last.dead, "dead"),
        (this.sold, last.sold, "sold"),
    )
    told, brief = [], []
    for one, other, words in pairs:
        if not one and not other:
            continue
        about = "about " if one.about else ""
        earned = this.earned(night.book.info) if words == "sold" else ""
        compared = f" ({say.number(other.number)})" if any(before for _, before, _ in pairs) else ""
        count = say.number(one.number) if one.number else "some"  # told, and not counted
        told.append(f"{about}{count} {words}{earned}{compared}")
        brief.append(f"{count} {words}{earned}")
    brackets = "; in brackets the week before" if any(before for _, before, _ in pairs) else ""
    figures = f"{', '.join(told)}{brackets}." if told else "nothing was logged."
    lines = [Line(f"Week {span}: {figures}", f"Week: {', '.join(brief) or 'nothing logged'}.", 6)]
    laying = [f"{line} {n}" for line, n in this.eggs.by.most_common(MOST_NAMED)]
    if len(laying) > 1:
        lines.append(Line(f"Eggs by line: {', '.join(laying)}.", f"Eggs: {', '.join(laying[:3])}.", 9))
    alive = []
    for stage in ("eggs", "fry", "juveniles", "adults"):
        held = [h for h in night.standing.holdings.values() if h.stage == stage]
        number = sum(h.count for h in held if h.counted)
        if held:
            blank = "" if all(h.counted for h in held) else " counted" if number else " (not counted)"
            alive.append(f"{say.fish(number, stage) if number else stage}{blank}")
    if alive:
        lines.append(Line(f"Standing: {', '.join(alive)}.", f"{', '.join(alive)}.", 9))
    low = list(dict.fromkeys(t.text or "" for t in night.tasks if t.task == "few_left"))
    if low:
        lines.append(Line(f"Running low: {'; '.join(low[:MOST_NAMED])}.", f"Low: {'; '.join(low[:2])}.", 8))
    waiting = [t for t in night.tasks if t.grace != NEVER and _since(t, night.now) > MISSED_LATELY]
    if waiting:
        oldest = min(t.due for t in waiting)
        since = f"{oldest.day} {oldest:%b}"
        lines.append(Line(f"Waiting long, some since {since}: {in_a_row(waiting, 4)}.", "", 10))
    return lines
