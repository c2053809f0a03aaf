"""Photos: kept privately, found by what they show, copied with the room, and gone when they are to be."""

from __future__ import annotations

import stat
from pathlib import Path

import pytest

from shared.room import RoomCard
from storage import backup
from storage.engine import StorageTrouble, open_database
from storage.journal import RoomBook
from storage.pictures import MOST_BYTES, kind_of
from tests.storage.notes import DAY, HOUR, NOON, message

JPEG, PNG = b"\xff\xd8\xff\xe0 one", b"\x89PNG\r\n\x1a\n two"
WEBP = b"RIFF\x10\0\0\0WEBPVP8 three"


@pytest.fixture(autouse=True)
def _a_folder_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))


def kept(book: RoomBook, picture: bytes, *names: str, hours: int = 0, person: str = "p1") -> int:
    """A message with a photo; the message's number."""
    with book.turn(message("look", sent=NOON + hours * HOUR, person=person)) as turn:
        turn.keep_picture(book.keep_picture(picture), names)
        return turn.message_id


def files(book: RoomBook) -> list[Path]:
    folder = book._database.album.folder
    return sorted(folder.iterdir()) if folder.exists() else []


@pytest.mark.parametrize(
    ("picture", "kind"),
    [
        (JPEG, "jpg"),
        (PNG, "png"),
        (WEBP, "webp"),
        (b"", None),
        (b"GIF89a", None),
        (b"<svg>", None),
        (b"\xff\xd8", None),
        (b"RIFF\x10\0\0\0WAVEfmt ", None),
        (b"%PDF-1.7 \xff\xd8\xff", None),
    ],
)
def test_a_photo_is_known_by_its_first_bytes(picture: bytes, kind: str | None) -> None:
    assert kind_of(picture) == kind


def test_a_photo_is_found_by_what_it_shows_the_newest_first(book: RoomBook) -> None:
    first = kept(book, JPEG, "tank 1", "B22")
    second = kept(book, PNG, "tank 11", hours=1)
    third = kept(book, WEBP, "tank 1", hours=2)
    fourth = kept(book, JPEG, hours=3)
    assert [p.message for p in book.pictures("tank 1")] == [third, first]
    assert [p.message for p in book.pictures("tank 11")] == [second]
    assert [p.message for p in book.pictures("TANK 1")] == [] == book.pictures("%")
    assert [p.message for p in book.pictures(limit=2)] == [fourth, third]
    assert [book.picture(p) for p in book.pictures()] == [JPEG, WEBP, PNG, JPEG]
    assert len(files(book)) == 3, "the same photo twice is one file"


def test_only_the_owner_can_look_at_photos(book: RoomBook) -> None:
    kept(book, JPEG)
    (file,) = files(book)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("picture", [b"GIF89a", JPEG + bytes(MOST_BYTES)])
def test_what_is_no_photo_or_too_large_is_not_written(book: RoomBook, picture: bytes) -> None:
    with pytest.raises(ValueError, match="kept"):
        book.keep_picture(picture)
    assert files(book) == []


def test_a_folder_that_cannot_be_written_is_said(book: RoomBook) -> None:
    folder = book._database.album.folder
    folder.parent.mkdir(parents=True, exist_ok=True)
    folder.write_text("in the way")
    with pytest.raises(StorageTrouble, match=r"could not be kept there .*Nothing was saved"):
        book.keep_picture(JPEG)


def test_a_photo_that_is_gone_or_changed_is_not_shown(book: RoomBook) -> None:
    kept(book, JPEG)
    (file,) = files(book)
    file.write_bytes(PNG)
    (picture,) = book.pictures()
    assert book.picture(picture) is None
    file.unlink()
    assert book.picture(picture) is None


def test_a_photo_taken_off_goes_when_no_other_message_has_it(book: RoomBook) -> None:
    first, second = kept(book, JPEG, "tank 1"), kept(book, JPEG, "tank 2", hours=1)
    for number, left in ((first, 1), (second, 0)):
        with book.turn(message("undo")) as turn:
            turn.drop_picture(number)
        assert len(files(book)) == left == len(book.pictures())


def test_a_turn_that_fails_takes_no_photo_away(book: RoomBook) -> None:
    number = kept(book, JPEG)
    with pytest.raises(RuntimeError, match="a fault"), book.turn(message("undo")) as turn:
        turn.drop_picture(number)
        raise RuntimeError("a fault")
    (picture,) = book.pictures()
    assert book.picture(picture) == JPEG


def test_what_a_photo_shows_can_be_said_later(book: RoomBook) -> None:
    number = kept(book, JPEG)
    with book.turn(message("tank 4", sent=NOON + HOUR)) as turn:
        last = turn.last_picture("p1", "kitchen", NOON - HOUR)
        assert last and last.message == number and turn.picture_of(number) == last
        assert turn.last_picture("p2", "kitchen", NOON - DAY) is None
        assert turn.last_picture("p1", "kitchen", NOON + HOUR) is None
        turn.name_picture(number, ["tank 4", "tank 4"])
    assert [p.names for p in book.pictures("tank 4")] == [("tank 4",)]


def test_a_forgotten_persons_photos_go_and_others_stay(book: RoomBook) -> None:
    rosa, ivo = book.person_named("Rosa"), book.person_named("Ivo")
    kept(book, JPEG, "tank 1", person=rosa.key)
    kept(book, PNG, "tank 1", person=ivo.key)
    kept(book, JPEG, "tank 2", person=ivo.key)  # the same bytes as Rosa's
    done = book.forget(ivo.key)
    assert len(done.pictures) == 1
    assert [(p.person, p.names) for p in book.pictures()] == [(rosa.key, ("tank 1",))]
    assert [file.read_bytes() for file in files(book)] == [JPEG]
    assert book.check() == []


def test_a_copy_has_its_photos_beside_it_and_they_come_back(tmp_path: Path) -> None:
    file, stick = tmp_path / "kept" / "room.db", tmp_path / "stick"
    stick.mkdir()
    database = open_database(str(file))
    book = database.create_room(RoomCard(name="Cellar"))
    kept(book, JPEG, "tank 1")
    backup.backup(database, stick, now=NOON)
    kept(book, PNG, "tank 2", hours=1)
    second = backup.backup(database, stick, now=NOON + HOUR)
    database.close()
    assert {p.read_bytes() for p in (stick / "pictures").iterdir()} == {JPEG, PNG}
    assert stat.S_IMODE((stick / "pictures").stat().st_mode) == 0o700
    moved = tmp_path / "new house" / "room.db"
    backup.restore(second, moved)
    again = open_database(str(moved))
    assert [again.room().picture(p) for p in again.room().pictures()] == [PNG, JPEG]
    again.close()


def test_a_copy_of_a_room_without_photos_is_one_file(tmp_path: Path) -> None:
    database = open_database(str(tmp_path / "kept" / "room.db"))
    database.create_room(RoomCard())
    (tmp_path / "stick").mkdir()
    copy = database.backup(tmp_path / "stick")
    assert list((tmp_path / "stick").iterdir()) == [copy]
    database.close()
