"""Pictures show what the record says, fit on the screen, and give way to a sentence where there is nothing to show."""

from __future__ import annotations

import datetime as dt
import struct
import subprocess
import sys
from itertools import pairwise, product
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from matplotlib.axis import Axis
from matplotlib.figure import Figure
from matplotlib.text import Text

from bot.answers.answer import Asking
from bot.language.reading import Query
from bot.pictures import drawing, sheet
from bot.pictures.charts import NO_DRAWING, chart, nightly_chart, picture
from bot.pictures.drawing import Mark, Panel, Row, Story
from bot.pictures.hatch_windows import WindowRow, windows_figure
from bot.pictures.tallies import story_of, window_rows
from shared.events import Measured
from shared.ledger.standing import out_of_balance
from storage.journal import RoomBook
from tests.pictures.fishroom import DAY, NOW, furnish, log, note, saw

ZONE = ZoneInfo("America/Chicago")
TODAY = NOW.astimezone(ZONE).date()


def asked(book: RoomBook, **about: Any) -> tuple[str, Figure | None]:
    return picture(Query("chart", **about), book.standing(), book, NOW)


def size_of(png: bytes) -> tuple[int, int]:
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", png[16:24])
    return width, height


def words(figure: Figure) -> list[str]:
    """Every text that is drawn."""
    shown = figure.findobj(lambda a: isinstance(a, Text) and a.get_visible())
    return [t.get_text() for t in shown if isinstance(t, Text) and t.get_text()]


def foot_labels(axis: Axis) -> list[Text]:
    """The labels of an axis that are drawn: those beyond its ends exist but are not."""
    low, high = sorted(axis.get_view_interval())
    return [t.label1 for t in axis.get_major_ticks() if t.label1.get_visible() and low <= t.get_loc() <= high]


def check_layout(figure: Figure) -> None:
    """All text lies in the picture, and the numbers along an axis do not run into one another."""
    figure.draw_without_rendering()  # places everything
    shown: list[Text] = [*figure.texts]
    for legend in figure.legends:
        shown += legend.get_texts()
    for axes in figure.axes:
        shown += [*axes.texts, axes.title, *(c for c in axes.get_children() if isinstance(c, Text))]
        for axis in (axes.xaxis, axes.yaxis):
            labels = [t for t in foot_labels(axis) if t.get_text()]
            shown += labels
            boxes = [t.get_window_extent() for t in labels]
            assert not any(a.overlaps(b) for a, b in pairwise(boxes)), [t.get_text() for t in labels]
    frame = figure.bbox
    shown = [t for t in shown if t.get_text().strip()]
    assert shown
    for text in shown:
        assert "$" not in text.get_text() or not text.get_parse_math()  # else it is taken for a formula
        box = text.get_window_extent()
        assert frame.x0 <= box.x0 and box.x1 <= frame.x1, (text.get_text(), box)
        assert frame.y0 <= box.y0 and box.y1 <= frame.y1, (text.get_text(), box)


CASES: list[tuple[dict[str, Any], str]] = [
    ({}, "Eggs by day"),
    ({"place": "tank 9"}, "Eggs by day, tank 9"),
    ({"line": "gardneri", "days": 14}, "Eggs by day, gardneri"),
    ({"given": {"of": "eggs"}, "days": 7}, "Eggs by day"),
    ({"date": dt.date(2026, 2, 20)}, "Eggs by day, 20 Feb – 9 Mar 2026"),
    ({"batch": "B12"}, "B12, gardneri"),
    ({"batch": "B12", "given": {"of": "fry"}}, "B12, gardneri"),
    ({"place": "tank 14"}, "tank 14"),
    ({"place": "tank 14", "quantity": "nitrate"}, "tank 14"),
    ({"place": "tank 2", "quantity": "temperature", "days": 21}, "tank 2"),
    ({"line": "gardneri", "quantity": "temperature"}, "tank 2"),
    ({"quantity": "nitrate"}, "Readings"),
    ({"quantity": "temperature"}, "Readings"),
    ({"given": {"of": "hatch"}}, "Fry expected"),
    ({"given": {"of": "hatch"}, "days": 7, "line": "gardneri"}, "Fry expected, gardneri"),
    ({"given": {"of": "losses"}, "days": 60}, "Losses by day"),
    ({"given": {"of": "losses"}, "place": "tank 14"}, "Losses by day, tank 14"),
]


@pytest.mark.parametrize(("about", "title"), CASES, ids=[str(c[0]) for c in CASES])
def test_each_question_has_its_picture(busy: RoomBook, about: dict[str, Any], title: str) -> None:
    text, figure = asked(busy, **about)
    assert figure is not None, text
    assert words(figure)[0].startswith(title) or any(w.startswith(title) for w in words(figure))
    check_layout(figure)
    assert size_of(sheet.png(figure)) == (900, 600)
    assert len(text) < 600


def test_the_room_drawn_from_adds_up(busy: RoomBook) -> None:
    assert list(out_of_balance(busy.standing())) == []


def test_bars_are_the_eggs_that_were_logged(busy: RoomBook) -> None:
    text, figure = asked(busy, line="medaka", days=30)
    assert figure is not None
    since = dt.datetime.combine(TODAY - dt.timedelta(days=29), dt.time(0), ZONE)
    logged = [e.event for e in busy.entries(name="tank 9", kinds=("pull",), since=since)]
    counts = [n for e in logged if (n := getattr(e, "count", None)) is not None]
    bars: Any = figure.axes[0].patches
    assert sorted(bar.get_height() for bar in bars) == sorted(counts)
    assert f"tank 9 {sum(counts)}" in text and "1 time not counted" in text
    assert "?" in words(figure)  # the day nobody counted is not drawn as none


def test_weeks_lose_no_egg(empty: RoomBook) -> None:
    furnish(empty, NOW - 100 * DAY)
    for n in range(0, 100, 4):
        note(empty, NOW - n * DAY, saw("pull", place="tank 2", count=n), line="gardneri", place="tank 2")
    _, figure = asked(empty, days=365)
    assert figure is not None
    bars: Any = figure.axes[0].patches
    assert sum(bar.get_height() for bar in bars) == sum(range(0, 100, 4))
    assert any(w.startswith("Eggs by week, ") for w in words(figure))
    assert all(bar.get_width() == pytest.approx(0.8 * 7) for bar in bars)
    check_layout(figure)


def test_a_bar_says_that_more_were_there_than_counted() -> None:
    counted = {TODAY - n * DAY: 20 + n for n in range(14)}
    tight = drawing.days_figure("Eggs", "eggs", [Row("medaka", counted, frozenset({TODAY}))], TODAY - 61 * DAY, TODAY)
    assert [t.get_text() for t in tight.axes[0].texts] == ["+"]
    wide = drawing.days_figure("Eggs", "eggs", [Row("medaka", {TODAY: 20}, frozenset({TODAY}))], TODAY - 6 * DAY, TODAY)
    assert [t.get_text() for t in wide.axes[0].texts] == ["20+"]


@pytest.mark.parametrize("rows", range(1, drawing.MOST_ROWS + 1))
@pytest.mark.parametrize("most", [1, 9, 51, 480])
def test_the_highest_number_stands_clear_of_the_heading(rows: int, most: int) -> None:
    day = TODAY - 29 * DAY  # below the words of the heading
    lines = [Row(f"line {n}", {day: most, TODAY: 1}) for n in range(rows)]
    figure = drawing.days_figure("Eggs by day", "eggs", lines, day, TODAY)
    check_layout(figure)
    for axes in figure.axes:
        heading = next(t for t in axes.get_children() if isinstance(t, Text) and t.get_text().startswith("line"))
        tops = [t.get_window_extent().y1 for t in axes.texts]
        assert max(tops) < heading.get_window_extent().y0


def test_two_days_close_together_hide_no_other_number() -> None:
    counts = {TODAY - n * DAY: 30 for n in (0, 1, 10, 20)}
    figure = drawing.days_figure("Eggs", "eggs", [Row("medaka", counts)], TODAY - 61 * DAY, TODAY)
    assert [t.get_text() for t in figure.axes[0].texts] == ["30", "30"]


def test_more_lines_than_rows_are_drawn_together(busy: RoomBook) -> None:
    text, figure = asked(busy)
    assert figure is not None and len(figure.axes) == drawing.MOST_ROWS
    heads = [axes.get_title(loc="left") for axes in figure.axes]
    assert heads[0].startswith("medaka: ") and heads[-1].startswith("2 others: ")
    logged = sum(int(h.split(": ")[1].split()[0]) for h in heads)
    since = dt.datetime.combine(TODAY - dt.timedelta(days=29), dt.time(0), ZONE)
    assert logged == sum(getattr(e.event, "count", 0) or 0 for e in busy.entries(kinds=("pull",), since=since))
    assert "2 others" in text


def test_a_batch_is_followed_from_eggs_to_sale(busy: RoomBook) -> None:
    story = story_of("B12", busy.entries(name="B12"))
    assert {s: [n for _, n in steps] for s, steps in story.steps.items()} == {
        "eggs": [60, 54, 50, 25, 9, 0],
        "fry": [25, 41, 38, 0],
        "juveniles": [38, 26, 18],
    }
    assert [m.what for m in story.marks] == ["bad", "bad", "hatched", "hatched", "bad", "died", "sold", "sold"]
    text, _ = asked(busy, batch="B12")
    assert text.endswith("19 bad, 41 hatched, 3 died, 20 sold; left: 18 juveniles.")


def test_fish_never_counted_are_not_drawn_as_a_number(empty: RoomBook) -> None:
    furnish(empty, NOW - 20 * DAY)
    log(empty, NOW - 9 * DAY, saw("pull", place="tank 2", to="tub B"))
    name = empty.standing().eggs_at("tub B")[0].group
    log(empty, NOW - 5 * DAY, saw("bad_eggs", batch=name, count=3))
    text, figure = asked(empty, batch=name)
    assert figure is None and text == f"{name} was never counted, so there is nothing to draw."


def test_a_number_no_longer_known_is_not_drawn_on(empty: RoomBook) -> None:
    furnish(empty, NOW - 20 * DAY)
    log(empty, NOW - 9 * DAY, saw("pull", place="tank 2", count=40, to="tub B"))
    name = empty.standing().eggs_at("tub B")[0].group
    log(empty, NOW - 8 * DAY, saw("bad_eggs", batch=name, count=3))
    log(empty, NOW - 7 * DAY, saw("pull", place="tank 2", to="tub B"))  # more of them, nobody counted
    story = story_of(name, empty.entries(name=name))
    assert [n for _, n in story.steps["eggs"]] == [40, 37, None]
    text, figure = asked(empty, batch=name)
    assert figure is not None and text.endswith("3 bad; left: eggs, not counted.")
    check_layout(figure)
    line: Any = figure.axes[0].lines[0]
    assert [n for n in line.get_ydata() if n == n] == [40, 37]  # what is not known is not equal to itself


def test_readings_are_drawn_in_the_units_of_the_room(busy: RoomBook) -> None:
    text, figure = asked(busy, place="tank 2", quantity="temperature")
    assert figure is not None and "temperature (°F)" in words(figure)
    since = NOW - 59 * DAY
    logged = [e.event for e in busy.entries(name="tank 2", kinds=("measure",), since=since)]
    kept = [t.value for t in logged if isinstance(t, Measured) and t.quantity == "temperature" and t.value]
    assert len(kept) > 20
    line: Any = figure.axes[0].lines[0]
    # Kept in tenths of a degree Celsius, so that a whole degree said comes back as said and not a tenth beside it.
    assert list(line.get_ydata()) == [pytest.approx(v * 1.8 + 32, abs=0.15) for v in kept]
    assert "°F" in text


def test_water_changes_are_marked_where_they_matter(busy: RoomBook) -> None:
    _, figure = asked(busy, place="tank 14", quantity="nitrate")
    assert figure is not None and "water changed" in words(figure)
    marks: Any = figure.axes[0].lines[-1]
    zone = busy.info.zone
    changed = [e.at.astimezone(zone) for e in busy.entries(name="tank 14", kinds=("water_change",))]
    assert [round(x, 3) for x in marks.get_xdata()][:4] == [
        round(at.toordinal() + (at.hour * 60 + at.minute) / 1440, 3) for at in changed[:4]
    ]
    _, warm = asked(busy, place="tank 14", quantity="temperature")
    assert warm is not None and "water changed" not in words(warm)


def test_days_are_the_days_of_the_room(empty: RoomBook) -> None:
    """Half past eleven at night in Chicago is the next day in UTC."""
    furnish(empty, NOW - 9 * DAY)
    late = dt.datetime(2026, 3, 5, 23, 30, tzinfo=ZONE)
    for n in range(3):
        note(empty, late - n * DAY, saw("pull", place="tank 2", count=10), line="gardneri", place="tank 2")
    _, figure = asked(empty)
    assert figure is not None
    bars: Any = figure.axes[0].patches
    middles = sorted(dt.date.fromordinal(round(b.get_x() + b.get_width() / 2)) for b in bars)
    assert middles == [dt.date(2026, 3, 3), dt.date(2026, 3, 4), dt.date(2026, 3, 5)]


def test_windows_are_those_of_the_forecast(busy: RoomBook) -> None:
    from shared.hatching.forecast import forecast

    rows = window_rows(busy.standing(), NOW)
    assert [r.name for r in rows] == ["B13 blue gularis, tub A", "B14 gardneri, tub B", "B15 lampeye, tub C"]
    for row in rows:
        seen = forecast(busy.standing(), row.name.split()[0], NOW)
        assert seen and seen.first_fry and seen.last_fry
        assert (row.first, row.middle, row.first_end) == (seen.first_fry.p10, seen.first_fry.p50, seen.first_fry.p90)
        assert row.last == seen.last_fry.p90


QUIET: list[tuple[dict[str, Any], str]] = [
    ({}, "No eggs are logged since Tue 3 Mar."),
    ({"place": "tank 2"}, "No test reading is logged for tank 2 since Tue 3 Mar."),
    ({"place": "tank 2", "quantity": "ph"}, "No pH reading is logged for tank 2 since Tue 3 Mar."),
    ({"given": {"of": "losses"}}, "No losses are logged since Tue 3 Mar."),
    ({"given": {"of": "hatch"}}, "No eggs with a hatch date are on record."),
    ({"batch": "B99"}, "There is no batch B99 in the record."),
    ({"given": {"of": "batch"}, "line": "medaka"}, "A picture of which batch?"),
]


@pytest.mark.parametrize(("about", "said"), QUIET, ids=[str(c[0]) for c in QUIET])
def test_nothing_on_record_is_a_sentence(empty: RoomBook, about: dict[str, Any], said: str) -> None:
    furnish(empty, NOW - DAY)
    assert asked(empty, **about) == (said, None)


def test_a_reading_or_two_are_said_not_drawn(empty: RoomBook) -> None:
    furnish(empty, NOW - 9 * DAY)
    log(empty, NOW - 2 * DAY, saw("measure", place="tank 2", quantity="ph", value=7.2))
    log(empty, NOW - DAY, saw("measure", place="tank 2", quantity="ph", value=7.4))
    text, figure = asked(empty, place="tank 2", quantity="ph")
    assert figure is None
    assert text == "Since Sat 28 Feb: tank 2 pH: 7.2 to 7.4, last 7.4. Too few for a picture yet."


def test_the_answer_carries_the_picture(busy: RoomBook) -> None:
    found = chart(Asking(Query("chart", place="tank 9"), busy.standing(), busy, NOW, "p1"))
    assert found.picture is not None and size_of(found.picture) == (900, 600)
    assert found.text.startswith("Eggs collected 8 Feb – 9 Mar 2026: tank 9 ")


def test_the_evening_picture(busy: RoomBook, empty: RoomBook) -> None:
    png = nightly_chart(busy, busy.standing(), NOW)
    assert png is not None and size_of(png) == (900, 400)
    furnish(empty, NOW - DAY)
    assert nightly_chart(empty, empty.standing(), NOW) is None


def test_without_matplotlib_the_answer_says_what_to_install(busy: RoomBook, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [n for n in sys.modules if n.partition(".")[0] == "matplotlib"]:
        monkeypatch.setitem(sys.modules, name, None)
    found = chart(Asking(Query("chart", place="tank 9"), busy.standing(), busy, NOW, "p1"))
    assert (found.text, found.picture) == (NO_DRAWING, None)
    assert nightly_chart(busy, busy.standing(), NOW) is None


def test_nothing_heavy_is_loaded_before_it_is_wanted() -> None:
    heavy = "{'matplotlib', 'numpy', 'segno', 'icalendar'}"
    code = (
        f"import sys, bot.pictures.charts, bot.pictures.labels, bot.unasked.calendar; print({heavy} & {{*sys.modules}})"
    )
    root = Path(__file__).parents[2]
    made = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root)
    assert made.stdout.strip() == "set()"


# ---- drawing by itself: names nobody foresaw, and much or little of everything

ODD = ["gardneri", "$5 trio$ x_1^2", "メダカ 🐟", "a" * 90, "Fp. gardneri “low wood” ♀ & ½\n"]


def _days(rows: int, days: int, high: int, name: str) -> Figure:
    first = TODAY - dt.timedelta(days=days - 1)
    made = [
        Row(
            name,
            {first + dt.timedelta(days=d): (d * 7 + r) % (high + 1) for d in range(r, days, r + 1)},
            frozenset({TODAY}),
        )
        for r in range(rows)
    ]
    return drawing.days_figure(f"Eggs by day, {name}", "eggs", made, first, TODAY)


@pytest.mark.parametrize(("rows", "days", "high"), list(product((1, 2, 5), (7, 62), (1, 5000))))
def test_bars_fit(rows: int, days: int, high: int) -> None:
    check_layout(_days(rows, days, high, "a line with quite a long name of its own, F12"))


@pytest.mark.parametrize("name", ODD)
def test_any_name_can_be_drawn(name: str) -> None:
    check_layout(_days(3, 14, 30, name))
    series = {f"{name}{n}": [(NOW - d * DAY, d + n / 2) for d in range(4)] for n in range(5)}
    check_layout(drawing.readings_figure(name, [Panel(name, series)], [], ZONE))
    window = WindowRow(name, NOW - DAY, NOW + DAY, NOW + 3 * DAY, NOW + 90 * DAY, past=True)
    check_layout(windows_figure(name, [window] * 9, NOW, TODAY, TODAY + 6 * DAY, ZONE))
    story = Story({"eggs": [(NOW - DAY, 5)]}, [Mark("bad", NOW, 4)])
    check_layout(drawing.batch_figure(name, story, ZONE, NOW))


SPANS = (dt.timedelta(0), dt.timedelta(hours=3), 9 * DAY, 400 * DAY)


@pytest.mark.parametrize("span", SPANS, ids=str)
@pytest.mark.parametrize("values", [(7.0, 7.0, 7.0), (0.0, 0.0, 0.0), (0.0, 12345.0, 3.0), (-2.0, 31.5, 4.0)], ids=str)
def test_readings_fit(span: dt.timedelta, values: tuple[float, ...]) -> None:
    known = [(NOW - span * (2 - n) / 2, v) for n, v in enumerate(values)]
    panels = [
        Panel(f"quantity {n} (mg/L)", {"tank 1": known}, from_zero=n == 0, least=1, shows_changes=True)
        for n in range(3)
    ]
    check_layout(drawing.readings_figure("tank 1", panels, [NOW], ZONE))


@pytest.mark.parametrize(("rows", "eggs"), [(0, True), (1, True), (1, False), (7, True), (7, False)])
def test_the_evening_picture_fits(rows: int, eggs: bool) -> None:
    windows = [
        WindowRow(f"B{n} blue gularis, tub A", NOW, NOW + DAY, NOW + 2 * DAY, NOW + 9 * DAY) for n in range(rows)
    ]
    row = Row("", {TODAY: 1200, TODAY - DAY: 3}) if eggs else None
    check_layout(drawing.nightly_figure(row, windows, NOW, TODAY - 13 * DAY, TODAY, TODAY + 6 * DAY, ZONE))


@given(st.dates(dt.date(2000, 1, 1), dt.date(2090, 1, 1)), st.integers(0, 9000), st.integers(2, 9))
def test_ticks_are_few_even_and_inside(first: dt.date, days: int, most: int) -> None:
    last = first + dt.timedelta(days=days)
    found = sheet.ticks(first, last, most)
    assert 1 <= len(found) <= most and found[-1] == last and found[0] >= first
    assert len({b - a for a, b in pairwise(found)}) <= 1


@example(text="𞹡", points=10.0, room=20.0, bold=True)  # the typeface has it, but not in bold
@given(st.text(max_size=60), st.sampled_from([10.0, 18.0, 22.0]), st.floats(20, 400), st.booleans())
def test_a_cut_text_fits(text: str, points: float, room: float, bold: bool) -> None:
    cut = sheet.fitted(text, points, room, bold=bold)
    assert sheet.width_of(cut, points, bold=bold) <= room
    whole = sheet.drawable(text)
    assert cut in (whole, "") or (cut.endswith("…") and whole.startswith(cut[:-1]))
