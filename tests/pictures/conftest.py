"""The made-up room, written once and read by every test."""

from __future__ import annotations

from pathlib import Path

import pytest

from storage.journal import RoomBook
from tests.pictures import fishroom


@pytest.fixture(scope="session")
def busy(tmp_path_factory: pytest.TempPathFactory) -> RoomBook:
    """Two months of notes; nothing may be written to it."""
    return fishroom.busy(tmp_path_factory.mktemp("busy"))


@pytest.fixture
def empty(tmp_path: Path) -> RoomBook:
    return fishroom.empty(tmp_path)
