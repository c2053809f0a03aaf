"""What all tests share: the flag that rewrites golden conversations, and the rule that CI skips nothing."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from shared.room import RoomCard
from storage.engine import Database, open_database

TESTS = Path(__file__).parent

settings.register_profile("unhurried", deadline=None)  # how long an example takes says nothing on a busy machine
settings.load_profile("unhurried")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--rewrite", action="store_true", help="rewrite the bot's lines of the golden conversations")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Iterator[None]:
    """Where nothing may be skipped, a skip is a failure."""
    report = yield
    if os.environ.get("ROOMHAND_NO_SKIPS") and getattr(report, "skipped", False):
        report.outcome = "failed"  # type: ignore[attr-defined]
    return report


@pytest.fixture(scope="session")
def card() -> RoomCard:
    """The invented Millrace room."""
    return RoomCard.model_validate_json((TESTS / "room.json").read_text(encoding="utf-8"))


@pytest.fixture
def database(tmp_path: Path) -> Iterator[Database]:
    """An empty database in a file of its own."""
    opened = open_database(str(tmp_path / "room.db"))
    yield opened
    opened.close()
