"""`roomhand doctor`: is all set to run, and what to mend. Never prints a secret."""

from __future__ import annotations

import datetime as dt
import sys

from bot.settings import SettingsError, open_to_others, read_settings, settings_file
from storage.claims import Claim
from storage.engine import open_database, url_of
from storage.journal import RoomBook
from storage.trouble import StorageTrouble

UNDER_WAY = dt.timedelta(minutes=5)  # what was begun so lately may still be on its way


def examine(url: str | None) -> int:
    """Check settings, database, rooms and token; 0 when a keeper could start now, else 1."""
    faults = 0

    def told(good: bool, text: str, mend: str = "") -> None:
        nonlocal faults
        faults += not good
        print(f"{'ok  ' if good else 'MEND'} {text}{'' if good or not mend else f' — {mend}'}")

    version = sys.version_info
    told(version >= (3, 11), f"Python {version.major}.{version.minor}", "Python 3.11 or newer is needed")
    try:
        settings = read_settings()
    except SettingsError as trouble:
        told(False, f"settings: {trouble}")
        return 1
    url, file = url or settings.db, settings_file()
    if file.exists():
        told(not open_to_others(file), f"settings file {file}", "others can read it: chmod 600")
    try:
        database = open_database(url, create=False)
        rooms = database.rooms()
        told(True, f"database {url_of(url).render_as_string(hide_password=True)}")
    except StorageTrouble as trouble:
        told(False, f"database: {trouble}", "`roomhand setup ROOM.json` or `roomhand chat` makes one")
        rooms = []
    for info in rooms:
        told(True, f"room {info.name}, time zone {info.timezone}, units {info.units}")
        for claim in in_doubt(database.room(info.name), dt.datetime.now(dt.UTC)):
            print(f"--   {in_words(claim)}; `roomhand release {claim.what} {claim.key}` lets it be sent again")
    if not rooms:
        told(False, "no room yet", "`roomhand setup ROOM.json`, or begin with `roomhand chat`")
    token = settings.telegram_token
    if token:
        told(True, "Telegram token is set (not shown)")
    else:
        print("--   no Telegram token: `roomhand serve` asks for one")
    if settings.sms_gateway:
        told(bool(settings.sms_secret), f"SMS gateway {settings.sms_gateway}", "ROOMHAND_SMS_SECRET is missing")
    print("Settings (from the environment or the settings file):")
    for name, value, meaning in settings.listed():
        print(f"  {name} = {value}  # {meaning}")
    return 1 if faults else 0


# ---- what was begun and never known to be done


def in_doubt(book: RoomBook, now: dt.datetime) -> list[Claim]:
    """What was to be said unasked and may not have gone out: begun, never confirmed, and not under way any more."""
    return [claim for claim in book.unconfirmed() if now - claim.claimed > UNDER_WAY]


def in_words(claim: Claim) -> str:
    """One such claim in a sentence."""
    return f"not known to have been sent: {claim.what} {claim.key}, begun {claim.claimed:%Y-%m-%d %H:%M} UTC"


def release(book: RoomBook, what: str | None, key: str | None, now: dt.datetime) -> tuple[int, str]:
    """Let one be said again, or with no name list them all; the exit status and what is told."""
    found = in_doubt(book, now)
    if what is None:
        return 0, "\n".join(map(in_words, found)) or "Nothing is in doubt."
    if not any((c.what, c.key) == (what, key) for c in found) or key is None or not book.release(what, key):
        return 1, f"There is no {what} {key or ''} in doubt; nothing was changed."
    return 0, f"{what} {key}: is sent again by `roomhand serve` within a minute, if it is still of use."
