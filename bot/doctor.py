"""`roomhand doctor`: is all set to run, and what to mend. Never prints a secret."""

from __future__ import annotations

import sys

from bot.settings import SettingsError, read_settings
from storage.engine import open_database, url_of
from storage.trouble import StorageTrouble


def examine(url: str | None, room: str | None) -> int:
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
    try:
        database = open_database(url, create=False)
        rooms = database.rooms()
        told(True, f"database {url_of(url).render_as_string(hide_password=True)}")
    except StorageTrouble as trouble:
        told(False, f"database: {trouble}", "`roomhand setup ROOM.json` or `roomhand chat` makes one")
        rooms = []
    for info in rooms:
        told(True, f"room {info.name}, time zone {info.timezone}, units {info.units}")
    if not rooms:
        told(False, "no room yet", "`roomhand setup ROOM.json`, or begin with `roomhand chat`")
    token = settings.telegram_token
    if token:
        told(True, "Telegram token is set (not shown)")
    else:
        print("--   no Telegram token: ROOMHAND_TELEGRAM_TOKEN is only needed for `roomhand serve`")
    if settings.sms_gateway:
        told(bool(settings.sms_secret), f"SMS gateway {settings.sms_gateway}", "ROOMHAND_SMS_SECRET is missing")
    print("Settings (from the environment or the settings file):")
    for name, value, meaning in settings.listed():
        print(f"  {name} = {value}  # {meaning}")
    return 1 if faults else 0
