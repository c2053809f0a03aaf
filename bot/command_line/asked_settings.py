"""The settings `roomhand serve` needs, asked for in the terminal when it is opened for the first time, and kept.

Nothing is written before all is answered, secrets are not shown while they are typed, and what is there already is
offered as it stands, so that it can be gone through again.
"""

from __future__ import annotations

import asyncio
import getpass
import os
import re
import sys
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path
from zoneinfo import available_timezones

from bot.settings import PREFIX, Settings, SettingsError, lines_of, read_settings
from storage.journal import RoomBook

_TOKEN = re.compile(r"\d{5,}:[A-Za-z0-9_-]{30,}")
_TOKEN_NAME, _API_NAME = "ROOMHAND_TELEGRAM_TOKEN", "ROOMHAND_TELEGRAM_API"
_SMS_NAMES = ("SMS_GATEWAY", "SMS_ACCOUNT", "SMS_SECRET", "SMS_NUMBER", "LISTEN", "PUBLIC_URL")
CHECK_SECONDS = 10.0
WHERE_A_TOKEN_IS_GOT = (
    "Telegram: in Telegram, write to @BotFather, send /newbot, choose a name, and copy the token it answers with\n"
    "(like 123456789:AA…). It is not shown while you paste it."
)
NO_DOOR = (
    "no door is configured: ROOMHAND_TELEGRAM_TOKEN is missing (the token @BotFather gives), or ROOMHAND_SMS_GATEWAY "
    "with its own. Run `roomhand serve` in a terminal to be asked for it, or write it to {file}; "
    "`roomhand doctor` lists all settings"
)


def at_a_terminal() -> bool:
    """Whether somebody is there to be asked."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def walk_through(file: Path, environ: Mapping[str, str], open_book: Callable[[Settings], RoomBook]) -> Settings | None:
    """Ask for everything, write the settings file, set the room; None when the doors are not to be opened now.

    Raises SettingsError when the file cannot be read or written, EOFError when the answers end early.
    """
    kept = lines_of(file)
    before = _checked(kept, environ)
    print(
        f"Setting up the doors. Enter keeps what stands in [brackets]; Ctrl-C stops, and nothing is written.\n({file})"
    )
    book = open_book(before)
    zone = _zone(book.info.timezone)
    units = _one_of("Units, us (gallons, °F) or metric (litres, °C)", book.info.units, ("us", "metric"))
    found = {k: v for k, v in kept.items() if k.startswith(PREFIX)}
    found |= _telegram(found, environ)
    found |= _texts(found, environ)
    settings = _checked(found, environ)
    write_private(file, {k: found.get(k, "") for k in {*found, *kept} if k.startswith(PREFIX)})
    book.update_info(timezone=zone, units=units)
    print(f"Written to {file}; only you can read it.")
    if settings.telegram_token is None and settings.sms_gateway is None:
        raise SettingsError("neither Telegram nor text messages are set, so there is no door to open")
    _let_the_owner_in(book)
    return settings if _yes("Open the doors now", True) else None


# ---- what is asked


def _ask(question: str, default: str = "") -> str:
    return input(f"{question}{f' [{default}]' if default else ''}: ").strip() or default


def _yes(question: str, default: bool) -> bool:
    while True:
        said = input(f"{question}? [{'Y/n' if default else 'y/N'}]: ").strip().casefold()
        if said in ("", "y", "yes", "n", "no"):
            return default if not said else said.startswith("y")
        print("Write y or n.")


def _one_of(question: str, default: str, choices: tuple[str, ...]) -> str:
    while True:
        said = _ask(question, default).casefold()
        if said in choices:
            return said
        print(f"Write {' or '.join(choices)}.")


def _secret(question: str, has: bool) -> str:
    """Typed unseen; empty keeps what there is."""
    return getpass.getpass(f"{question}{' [kept as it is]' if has else ''}: ").strip()


def _zone(default: str) -> str:
    """A time zone by its name, or by the last part of it where that is one zone only."""
    known = available_timezones()
    while True:
        said = _ask("Time zone, like America/Chicago", default)
        plain = said.replace(" ", "_").casefold()
        whole = [z for z in known if z.casefold() == plain]
        fits = whole or [z for z in known if z.casefold().rsplit("/", 1)[-1] == plain and "/" in z]
        towns = [z for z in fits if z.split("/")[0] not in ("US", "posix", "right", "SystemV")] or fits
        if len(towns) == 1:
            return towns[0]
        near = sorted(z for z in known if plain in z.casefold())[:6]
        print(f"“{said}” is no time zone I know{'; there is ' if near else ''}{', '.join(near)}.")


def _telegram(found: Mapping[str, str], environ: Mapping[str, str]) -> dict[str, str]:
    if environ.get(_TOKEN_NAME) or environ.get(_TOKEN_NAME + "_FILE"):
        print("Telegram: the token comes from the environment; it is left as it is.")
        return {}
    has = bool(found.get(_TOKEN_NAME) or found.get(_TOKEN_NAME + "_FILE"))
    print(WHERE_A_TOKEN_IS_GOT)
    while True:
        said = _secret("Token, empty for no Telegram" if not has else "Token, - for no Telegram", has)
        if not said:
            return {}
        if said == "-":
            return {_TOKEN_NAME: "", _TOKEN_NAME + "_FILE": ""}
        if not _TOKEN.fullmatch(said):
            print("That is no token: it is digits, a colon and some 35 letters. Copy it whole.")
            continue
        api = environ.get(_API_NAME) or found.get(_API_NAME) or str(Settings().telegram_api)
        name = asyncio.run(bot_name(said, api))
        if name == "":
            print("Telegram does not accept that token; @BotFather tells it again with /token.")
            continue
        print(f"That is @{name}." if name else "Telegram cannot be reached now, so the token is kept unchecked.")
        return {_TOKEN_NAME: said, _TOKEN_NAME + "_FILE": ""}


async def bot_name(token: str, api: str) -> str | None:
    """What the bot of a token is called; "" when the token is refused, None when that cannot be known now."""
    from telegram import Bot
    from telegram.error import InvalidToken, TelegramError
    from telegram.request import HTTPXRequest

    request = HTTPXRequest(1, read_timeout=CHECK_SECONDS, connect_timeout=CHECK_SECONDS)
    bot = Bot(token, base_url=api.rstrip("/") + "/bot", request=request, get_updates_request=HTTPXRequest(1))
    try:
        await bot.initialize()
        return bot.username
    except InvalidToken:
        return ""
    except TelegramError:
        return None
    finally:
        await bot.shutdown()


def _texts(found: Mapping[str, str], environ: Mapping[str, str]) -> dict[str, str]:
    names = {name: PREFIX + name for name in _SMS_NAMES}
    has = {name: environ.get(full) or found.get(full, "") for name, full in names.items()}
    if not _yes("Text messages too (needs an SMS gateway)", bool(has["SMS_GATEWAY"])):
        return {names[n]: "" for n in _SMS_NAMES if n.startswith("SMS_")} if has["SMS_GATEWAY"] else {}
    while True:
        said = {"SMS_GATEWAY": _one_of("Gateway, twilio or plain", has["SMS_GATEWAY"] or "plain", ("twilio", "plain"))}
        if said["SMS_GATEWAY"] == "twilio":
            said["SMS_ACCOUNT"] = _ask("Account the gateway names", has["SMS_ACCOUNT"])
        said["SMS_SECRET"] = (
            _secret("Secret its requests are signed with", bool(has["SMS_SECRET"])) or has["SMS_SECRET"]
        )
        said["SMS_NUMBER"] = _ask("The room's own number, like +15550100", has["SMS_NUMBER"])
        said["LISTEN"] = _ask("Listen at host:port", has["LISTEN"] or "127.0.0.1:8080")
        said["PUBLIC_URL"] = _ask("Its outside address, like https://fish.example.org", has["PUBLIC_URL"])
        given = {names[n]: v for n, v in said.items()}
        try:
            _checked({**found, **given}, environ)
            return given
        except SettingsError as wrong:
            print(f"{wrong}.")


def _checked(found: Mapping[str, str], environ: Mapping[str, str]) -> Settings:
    """The settings as they would then stand; raises SettingsError."""
    return read_settings({**{k: v for k, v in found.items() if v}, **environ}, Path(os.devnull))


# ---- what is written


def write_private(file: Path, values: Mapping[str, str]) -> None:
    """Put NAME=value lines into the settings file, others staying as they are; an empty value takes a line out.

    The file is the owner's alone from the start, and whole at every moment. Raises SettingsError.
    """
    try:
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        old = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
        left = dict(values)
        lines = []
        for line in old:
            name = line.strip().removeprefix("export ").split("=")[0].strip()
            if name not in values:
                lines.append(line)
            elif value := left.pop(name, ""):
                lines.append(f"{name}={value}")
        lines += [f"{name}={value}" for name, value in sorted(left.items()) if value]
        handle, made = tempfile.mkstemp(dir=file.parent, prefix=".settings-")  # made readable to its owner alone
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as out:
                out.write("\n".join(lines) + "\n")
                out.flush()
                os.fsync(out.fileno())
            os.replace(made, file)
        except OSError:
            os.unlink(made)
            raise
    except OSError as problem:
        raise SettingsError(f"settings file {file} could not be written ({problem.strerror})") from None


def _let_the_owner_in(book: RoomBook) -> None:
    owners = [p.name for p in book.people() if p.role == "owner" and book.addresses(p.key)]
    if owners:
        print(f"Owner: {', '.join(owners)}. `roomhand invite` makes a code for the next one.")
        return
    print(f"Your code as owner, good once and for two days: {book.invite('owner')}")
    print("Send it to the bot as your first message. `roomhand invite` makes codes for helpers.")
