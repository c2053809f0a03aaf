"""Labels are read back from the printed page: the codes by another program's eyes, the words from the PDF."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.channels import doorstep
from bot.pictures.labels import BORDER, SIZES, Grid, label_sheet, labels, place_code, place_meant
from shared.ledger.standing import Place, Standing
from storage.journal import RoomBook
from tests.pictures.fishroom import NOW, furnish, log, saw

SCALE = 3.0  # pixels a point: 216 to the inch, about what a telephone's camera sees
MM = SCALE * 72 / 25.4
PLACES = ["tank 1", "tank 2", "tank 5", "tank 7", "tank 8", "tank 9", "tank 14", "tub A", "tub B", "tub C", "tub E"]


@contextmanager
def pages(path: Path) -> Iterator[list[Any]]:
    """The pages of a PDF."""
    pdfium = pytest.importorskip("pypdfium2", reason="pypdfium2 is not installed, so the PDF was not read back")
    document = pdfium.PdfDocument(path)
    try:
        yield list(document)
    finally:
        document.close()


def ink(page: Any) -> Any:
    """A page as rows of grey pixels."""
    return page.render(scale=SCALE, grayscale=True).to_numpy().squeeze()


def cut(sheet: Any, grid: Grid, number: int, free: float = 0.0) -> Any:
    """One label of a sheet, `free` mm left off all round."""
    left, top = grid.corner(number)
    wide, high = grid.label
    a, b = round((left + free) * MM), round((left + wide - free) * MM)
    return sheet[round((top + free) * MM) : round((top + high - free) * MM), a:b]


def decoded(picture: Any) -> str:
    """What the one code in a picture says."""
    reader = pytest.importorskip("zxingcpp", reason="zxing-cpp is not installed, so the codes were not read back")
    (code,) = reader.read_barcodes(picture)
    return str(code.text)


@pytest.mark.parametrize(("size", "bot"), [*((s, "millrace_room_bot") for s in SIZES), ("letter-67x25", None)])
def test_every_label_is_read_back_from_the_page(busy: RoomBook, tmp_path: Path, size: str, bot: str | None) -> None:
    grid, out = SIZES[size], tmp_path / "labels.pdf"
    made = label_sheet(busy.standing(), busy.info, out, bot_name=bot, size=size, skip=1)
    assert made == len(PLACES)
    with pages(out) as sheets:
        assert len(sheets) == -(-(made + 1) // grid.each)
        assert [round(n * 25.4 / 72, 1) for n in sheets[0].get_size()] == list(grid.paper)
        drawn = [ink(sheet) for sheet in sheets]
        for number, name in enumerate(PLACES, start=1):
            label = cut(drawn[number // grid.each], grid, number)
            assert decoded(label) == (f"https://t.me/{bot}?start={place_code(name)}" if bot else f"{name}?")
        assert cut(drawn[0], grid, 0).min() == 255  # the skipped one is blank
        # nothing is printed outside the labels nor in their borders
        for number in range(made + 1):
            page = drawn[number // grid.each]
            inside = cut(page, grid, number, free=BORDER - 0.4)
            inside[:] = 255
        assert all(page.min() == 255 for page in drawn)


def test_a_label_says_line_generation_batch_and_dates(busy: RoomBook, tmp_path: Path) -> None:
    by_name = {label.name: label.words for label in labels(busy.standing(), busy.info)}
    assert by_name["tank 2"] == ("gardneri F3",)
    assert by_name["tub B"] == ("gardneri F4, B14", "laid 28 Feb–2 Mar 2026")
    own = busy.standing().batches["B12"].generation  # never their parents': those are F3
    assert own != "F3"
    grown = f"gardneri {own}, B12" if own else "gardneri, B12"
    assert by_name["tank 14"] == ("blue gularis, B11", "since 8 Jan 2026", grown, "hatched 25 Jan 2026")
    assert by_name["tub E"] == ()
    out = tmp_path / "labels.pdf"
    for size in ("letter-67x25", "a4-64x38"):  # the smallest
        label_sheet(busy.standing(), busy.info, out, size=size)
        with pages(out) as sheets:
            text = " ".join(sheet.get_textpage().get_text_bounded() for sheet in sheets)
        for word in ("tank 14", "gardneri F4, B14", "laid 28 Feb–2 Mar 2026", "hatched 25 Jan 2026"):
            assert word in text, (size, word)


def test_an_odd_name_is_printed_all_the_same(empty: RoomBook, tmp_path: Path) -> None:
    names = ["Ñandú $5 x_1^2", "水槽 1", "a tank whose name goes on for longer than any label is wide, number 12"]
    for name in names:
        log(empty, NOW, saw("new_place", place=name))
    out = tmp_path / "labels.pdf"
    assert label_sheet(empty.standing(), empty.info, out, size="a4-64x38", bot_name="@millrace_room_bot") == 3
    with pages(out) as sheets:
        sheet = ink(sheets[0])
        for number, name in enumerate(names):
            assert decoded(cut(sheet, SIZES["a4-64x38"], number)).endswith(f"?start={place_code(name)}")


def test_usual_paper_follows_the_room(busy: RoomBook, tmp_path: Path) -> None:
    for units, paper in (("us", (215.9, 279.4)), ("metric", (210.0, 297.0))):
        info = type("Info", (), {"name": "room", "units": units, "zone": busy.info.zone})()
        label_sheet(busy.standing(), info, tmp_path / "labels.pdf", places=["tank 1"])
        with pages(tmp_path / "labels.pdf") as sheets:
            assert tuple(round(n * 25.4 / 72, 1) for n in sheets[0].get_size()) == paper


def test_closed_places_get_no_label_and_full_bags_do(empty: RoomBook) -> None:
    furnish(empty, NOW)
    log(empty, NOW, saw("close_place", place="tub E"))
    log(empty, NOW, saw("peat", place="tank 1", line="blue gularis", action="bag", count=30))
    names = [label.name for label in labels(empty.standing(), empty.info)]
    assert "tub E" not in names and "peat bag" in names


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"size": "a4-1x1"}, "“a4-1x1” is no label size. There are a4-70x37, "),
    ({"bot_name": "no bot"}, "“no bot” is no bot's name in Telegram"),
    ({"bot_name": "x/../y"}, "is no bot's name"),
    ({"places": ["tank 99"]}, "There is no tank 99 in this room."),
    ({"size": "a4-99x68", "skip": 8}, "A sheet of a4-99x68 has 8 labels: skip 0 to 7."),
]


@pytest.mark.parametrize(("wish", "said"), WRONG, ids=[str(w[0]) for w in WRONG])
def test_an_impossible_wish_is_refused_and_writes_nothing(
    busy: RoomBook, tmp_path: Path, wish: dict[str, Any], said: str
) -> None:
    with pytest.raises(ValueError, match=re.escape(said)):
        label_sheet(busy.standing(), busy.info, tmp_path / "labels.pdf", **wish)
    assert list(tmp_path.iterdir()) == []


def test_an_empty_room_has_no_labels(empty: RoomBook, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="no tanks or tubs to label"):
        label_sheet(empty.standing(), empty.info, tmp_path / "labels.pdf")


@pytest.mark.parametrize("grid", SIZES.values(), ids=SIZES)
def test_labels_lie_on_the_paper_and_apart(grid: Grid) -> None:
    boxes = [(*grid.corner(n), *grid.label) for n in range(grid.each)]
    assert min(x for x, *_ in boxes) >= 0 and min(y for _, y, *_ in boxes) >= 0
    assert max(x + w for x, _, w, _ in boxes) <= grid.paper[0] + 0.1
    assert max(y + h for _, y, _, h in boxes) <= grid.paper[1] + 0.1
    assert grid.columns == 1 or grid.pitch[0] >= grid.label[0]
    assert grid.pitch[1] >= grid.label[1]
    # what is left over is shared by both sides
    right = grid.paper[0] - grid.left - (grid.columns - 1) * grid.pitch[0] - grid.label[0]
    below = grid.paper[1] - grid.top - (grid.rows - 1) * grid.pitch[1] - grid.label[1]
    assert abs(right - grid.left) < 0.6 and abs(below - grid.top) < 0.6


@pytest.mark.parametrize(("name", "grid"), SIZES.items(), ids=SIZES)
def test_sizes_are_named_by_their_millimetres(name: str, grid: Grid) -> None:
    wide, high = (int(n) for n in name.partition("-")[2].split("x"))
    assert abs(wide - grid.label[0]) <= 0.5 and abs(high - grid.label[1]) <= 0.5


names = st.text(min_size=1, max_size=80).filter(str.strip)


@given(st.lists(names, min_size=2, max_size=8, unique=True))
def test_a_start_code_names_one_place(found: list[str]) -> None:
    standing = Standing(places={n: Place(name=n) for n in found})
    for name in found:
        code = place_code(name)
        assert re.fullmatch(r"[A-Za-z0-9_-]{1,64}", code)  # what a Telegram start parameter may be
        assert place_meant(code, standing) == name


@given(names)
def test_a_start_code_is_never_taken_for_an_invitation(name: str) -> None:
    assert doorstep._CODE.fullmatch(place_code(name)) is None


def test_a_code_of_another_kind_names_no_place(busy: RoomBook) -> None:
    for code in ("", "at_", "at_tank_99", "tank_1", "ABCDEFGHJK"):
        assert place_meant(code, busy.standing()) is None
