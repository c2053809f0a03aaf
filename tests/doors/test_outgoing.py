"""What goes out to Telegram: cut where a reader would cut, at a pace that is allowed, remembered over restarts."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.channels import sent
from bot.channels.sent import Sent
from bot.channels.telegram_in import button_data
from bot.channels.telegram_out import LONGEST_LABEL, Bucket, cut, laid_out


def units(text: str) -> int:
    return len(text.encode("utf-16-le")) // 2


@settings(max_examples=150, deadline=None)
@given(st.text(st.sampled_from("ab \n.😀é"), max_size=400), st.integers(4, 60))
def test_pieces_fit_and_nothing_but_space_is_lost(text: str, longest: int) -> None:
    pieces = list(cut(text, longest))
    assert all(units(p) <= longest for p in pieces)
    assert "".join("".join(pieces).split()) == "".join(text.split())


@pytest.mark.parametrize(
    ("text", "pieces"),
    [
        ("short", ["short"]),
        ("", []),
        ("one one\n\ntwo two two", ["one one", "two two two"]),
        ("one one\ntwo two two", ["one one", "two two two"]),
        ("One one. Two two two.", ["One one.", "Two two two."]),
        ("one two three four", ["one two", "three four"]),
        ("x" * 20, ["x" * 12, "x" * 8]),
        ("😀" * 7, ["😀" * 6, "😀"]),
    ],
)
def test_a_text_is_cut_where_a_reader_would(text: str, pieces: list[str]) -> None:
    assert list(cut(text, 12)) == pieces


def test_a_burst_is_let_through_and_then_slowed(monkeypatch: pytest.MonkeyPatch) -> None:
    now = 100.0
    monkeypatch.setattr("bot.channels.telegram_out.time.monotonic", lambda: now)
    bucket = Bucket(3, 0.5, at=now)
    assert [bucket.take() for _ in range(5)] == [0, 0, 0, 2, 4]
    now = 110.0
    assert bucket.take() == 0


@given(st.integers(0, 99), st.integers(1, 2**53))
def test_what_a_button_sends_back_fits(index: int, asked: int) -> None:
    assert 1 <= len(button_data(index, str(asked)).encode()) <= 64


# ---- what is remembered


def test_answers_and_marks_are_remembered_over_a_restart(tmp_path: Path) -> None:
    file = tmp_path / "state" / "sent"
    first = Sent(file, b"key")
    first.note("501:7", "501", 8, 7)
    first.mark("stop", "+13125550101", True)
    first.mark("stop", "+13125550102", True)
    first.mark("stop", "+13125550102", False)
    first.close()
    again = Sent(file, b"key")
    assert again.has_answered("501:7") and not again.has_answered("501:8")
    assert again.answered_by("501", 8) == 7
    assert again.answered_by("502", 8) is None
    assert again.marked("stop", "+13125550101") and not again.marked("stop", "+13125550102")
    again.close()
    assert "3125550101" not in file.read_text() and "501" not in file.read_text().split()
    assert file.stat().st_mode & 0o077 == 0


def test_a_line_torn_by_a_crash_costs_only_itself(tmp_path: Path) -> None:
    file = tmp_path / "sent"
    first = Sent(file, b"key")
    first.note("501:7", "501", 8, 7)
    first.close()
    with file.open("a") as out:
        out.write("0a1b2c")
    again = Sent(file, b"key")
    again.note("501:9", "501", 10, 9)
    again.close()
    last = Sent(file, b"key")
    assert last.has_answered("501:7") and last.has_answered("501:9")
    last.close()


def test_the_file_does_not_grow_for_ever(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sent, "KEEP", 10)
    monkeypatch.setattr(sent, "TRIM", 40)
    file = tmp_path / "sent"
    first = Sent(file, b"key")
    first.mark("stop", "somebody", True)
    for i in range(100):
        first.note(f"501:{2 * i}", "501", 2 * i + 1, 2 * i)
    first.close()
    again = Sent(file, b"key")
    assert len(file.read_text().splitlines()) <= 41
    assert again.marked("stop", "somebody"), "a mark is never forgotten"
    assert again.has_answered("501:198") and not again.has_answered("501:0")
    again.close()


def test_choices_too_long_for_a_button_stand_in_the_text() -> None:
    pull = "8 eggs pulled from tank 4, clown killi, into tub D"
    death = "8 dead in tank 4"
    left = "leave it as a remark"
    assert laid_out("Which is it?", (death, left)) == ("Which is it?", (death, left))
    assert laid_out("Which is it?", (pull, death, left)) == (f"Which is it?\n1. {pull}", ("1", death, left))
    assert all(len(label) <= LONGEST_LABEL for label in laid_out("Which?", ("x" * 99, "y" * 99))[1])
