"""What the doctor sees: settings open to others, and what nobody knows to have been sent, which can be sent again."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from bot.channels.serve import Notice
from bot.command_line.doctor import UNDER_WAY
from bot.commands import main
from storage.journal import RoomBook
from tests.doors.bot_api import BotApi
from tests.doors.conftest import OpenHouse

KEY = "2026-03-09:p1"


@pytest.fixture(autouse=True)
def here(room_file: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("ROOMHAND_DB", str(room_file))
    monkeypatch.setenv("ROOMHAND_SETTINGS", str(tmp_path / "settings"))
    (tmp_path / "settings").write_text("")
    (tmp_path / "settings").chmod(0o600)


def claimed(book: RoomBook, ago: dt.timedelta, key: str = KEY) -> None:
    assert book.claim("nightly", key, dt.datetime.now(dt.UTC) - ago)


def test_what_may_not_have_gone_out_is_named_with_the_way_to_send_it(
    book: RoomBook, capsys: pytest.CaptureFixture[str]
) -> None:
    claimed(book, dt.timedelta(hours=1))
    claimed(book, dt.timedelta(hours=1), "2026-03-09:p2")
    book.confirm("nightly", "2026-03-09:p2")
    assert main(["doctor"]) == 0
    told = capsys.readouterr().out
    assert f"roomhand release nightly {KEY}" in told
    assert "2026-03-09:p2" not in told
    assert main(["release"]) == 0
    assert KEY in capsys.readouterr().out


async def test_what_is_released_is_sent_once_more(
    api: BotApi, open_house: OpenHouse, book: RoomBook, capsys: pytest.CaptureFixture[str]
) -> None:
    claimed(book, dt.timedelta(hours=1))

    async def an_evening() -> None:
        asked: list[dt.datetime] = []

        def tick(_: RoomBook, now: dt.datetime) -> list[Notice]:
            asked.append(now)
            return [Notice("nightly", KEY, "telegram", "501", "good evening")]

        house = await open_house(api, tick=tick)
        await api.until(lambda: asked)
        api.say("after")  # the queue is the same, so the notice is claimed before this is answered
        before = len(api.called("sendmessage"))
        await api.until(
            lambda: len(api.called("sendmessage")) > before and "kept: after" in [s["text"] for s in api.sent]
        )
        house.stop()

    def said() -> int:
        return [s["text"] for s in api.sent].count("good evening")

    await an_evening()
    assert said() == 0
    assert main(["release", "nightly", KEY]) == 0
    assert KEY in capsys.readouterr().out
    await an_evening()
    await api.until(lambda: said() == 1)
    await an_evening()
    assert said() == 1


@pytest.mark.parametrize("what", ["under way", "confirmed", "unknown"])
def test_only_what_is_in_doubt_is_released(book: RoomBook, capsys: pytest.CaptureFixture[str], what: str) -> None:
    if what != "unknown":
        claimed(book, UNDER_WAY / 2 if what == "under way" else dt.timedelta(hours=1))
    if what == "confirmed":
        book.confirm("nightly", KEY)
    assert main(["release", "nightly", KEY]) == 1
    assert "nothing was changed" in capsys.readouterr().err
    assert len(book.claims("nightly")) == (what != "unknown")


def test_settings_others_can_read_are_to_be_mended(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "settings").chmod(0o644)
    assert main(["doctor"]) == 1
    assert "MEND settings file" in capsys.readouterr().out
