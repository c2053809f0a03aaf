"""What the house is set to: read once from the environment, or from a settings file with the same names."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Literal
from urllib.parse import urlsplit

import platformdirs
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, SecretStr, ValidationError, model_validator

_LINE = re.compile(r"^(?:export\s+)?([A-Z][A-Z0-9_]*)\s*=\s*(.*?)\s*$")
PREFIX = "ROOMHAND_"


class SettingsError(ValueError):
    """A setting that cannot be used; the message names it and says what to write, never its value if secret."""


def _listened_at(text: object) -> object:
    """host:port → (host, port); a bare port listens on this machine only."""
    if not isinstance(text, str):
        return text
    host, _, port = text.rpartition(":")
    if not port.isdecimal() or not 0 <= int(port) <= 65535:
        raise ValueError("write it like 127.0.0.1:8080")
    return (host.strip("[]") or "127.0.0.1", int(port))


def _web(text: object) -> object:
    if not isinstance(text, str):
        return text
    parts = urlsplit(text)
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.query or parts.fragment:
        raise ValueError("write it like https://room.example.org")
    return text.rstrip("/")


Address = Annotated[tuple[str, int], BeforeValidator(_listened_at)]
Web = Annotated[str, BeforeValidator(_web)]


class Settings(BaseModel):
    """All settings; the environment name of each is ROOMHAND_ and the field's name in capitals."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    db: str | None = Field(default=None, description="SQLAlchemy URL of the database; unset: a file of the user's")
    room: str | None = Field(default=None, description="which room, where the database holds several")
    telegram_token: SecretStr | None = Field(default=None, description="token of the Telegram bot; unset: no such door")
    telegram_api: Web = Field(default="https://api.telegram.org", description="base address of the Bot API")
    listen: Address | None = Field(
        default=None, description="host:port for webhooks and GET /health; unset: nothing listens"
    )
    metrics: Address | None = Field(
        default=None, description="host:port for GET /metrics, a bare port on this machine only; unset: none"
    )
    public_url: Web | None = Field(
        default=None,
        description="its outside address; with it Telegram comes by webhook, else by polling",
    )
    sms_gateway: Literal["twilio", "plain"] | None = Field(
        default=None, description="twilio or plain; unset: no such door"
    )
    sms_account: str | None = Field(default=None, description="account the SMS gateway names in each request (twilio)")
    sms_secret: SecretStr | None = Field(default=None, description="what SMS requests are signed with")
    sms_number: str | None = Field(default=None, description="the room's own number, +15550100 form")
    sms_api: Web | None = Field(default=None, description="base address of the SMS gateway's API, where it is another")
    state: Path | None = Field(default=None, description="folder for the doors' few marks; unset: one of the user's")
    log: Literal["debug", "info", "warning", "error"] = Field(default="info", description="how much is logged")

    @model_validator(mode="after")
    def _together(self) -> Settings:
        if self.public_url and not self.listen:
            raise ValueError("ROOMHAND_PUBLIC_URL needs ROOMHAND_LISTEN: the address it stands for")
        if self.sms_gateway and not (self.sms_secret and self.listen):
            raise ValueError("ROOMHAND_SMS_GATEWAY needs ROOMHAND_SMS_SECRET and ROOMHAND_LISTEN")
        if self.sms_gateway == "twilio" and not self.public_url:
            raise ValueError("ROOMHAND_SMS_GATEWAY=twilio needs ROOMHAND_PUBLIC_URL: its requests are signed with it")
        return self

    @property
    def state_folder(self) -> Path:
        return self.state or platformdirs.user_state_path("roomhand")

    @property
    def secrets(self) -> tuple[str, ...]:
        """What must never be written anywhere, numbers included."""
        hidden = [s.get_secret_value() for s in (self.telegram_token, self.sms_secret) if s]
        return tuple(x for x in (*hidden, self.sms_account, self.sms_number) if x)

    def listed(self) -> list[tuple[str, str, str]]:
        """Every setting as (name, what it is set to with secrets hidden, what it is for)."""
        rows = []
        for name, field in Settings.model_fields.items():
            value = getattr(self, name)
            if value is None:
                shown = "not set"
            elif isinstance(value, SecretStr):
                shown = "set"
            elif isinstance(value, tuple):
                shown = f"{value[0]}:{value[1]}"
            else:
                shown = re.sub(r"//[^/@]*@", "//…@", str(value))  # a password in a database address
            rows.append((PREFIX + name.upper(), shown, field.description or ""))
        return rows


def settings_file(environ: Mapping[str, str] | None = None) -> Path:
    """Where the settings file is looked for: ROOMHAND_SETTINGS, else the user's configuration folder."""
    named = (os.environ if environ is None else environ).get("ROOMHAND_SETTINGS")
    try:
        return Path(named) if named else platformdirs.user_config_path("roomhand") / "settings"
    except RuntimeError:  # whoever runs it has no home, as in a container under any number: there is no such file
        return Path(os.devnull)


def read_settings(environ: Mapping[str, str] | None = None, file: Path | None = None) -> Settings:
    """The settings as they stand; the environment wins over the file.

    A secret may be kept in a file of its own: ROOMHAND_TELEGRAM_TOKEN_FILE=/path. Raises SettingsError.
    """
    environ = os.environ if environ is None else environ
    path = file or settings_file(environ)
    named = file is not None or "ROOMHAND_SETTINGS" in environ
    found = _from_file(path, must_exist=named) | {k: v for k, v in environ.items() if k.startswith(PREFIX)}
    raw: dict[str, str] = {}
    for field in Settings.model_fields:
        name = PREFIX + field.upper()
        value = found.get(name, "").strip()
        if not value and (kept := found.get(name + "_FILE")):
            try:
                value = Path(kept).read_text(encoding="utf-8").strip()
            except (OSError, UnicodeDecodeError) as problem:
                raise SettingsError(f"{name}_FILE: {kept} could not be read ({type(problem).__name__})") from None
        if value:
            raw[field] = value
    try:
        return Settings.model_validate(raw)
    except ValidationError as problem:
        lines = []
        for error in problem.errors(include_input=False, include_url=False):
            where = PREFIX + str(error["loc"][0]).upper() + ": " if error["loc"] else ""
            lines.append(where + error["msg"].removeprefix("Value error, "))
        raise SettingsError("; ".join(lines)) from None


def open_to_others(path: Path) -> bool:
    """True when the settings file can be read by other users of the machine."""
    try:
        return bool(path.stat().st_mode & (stat.S_IRGRP | stat.S_IROTH)) and os.name == "posix"
    except OSError:
        return False


def lines_of(path: Path) -> dict[str, str]:
    """What a settings file sets, by name; empty when there is none. Raises SettingsError."""
    return _from_file(path, must_exist=is_there(path))


def is_there(path: Path) -> bool:
    """Whether a file is there, or is where nobody lets us look: then it is said, and not taken for missing."""
    try:
        return path.exists()
    except OSError:
        return True


def _from_file(path: Path, must_exist: bool) -> dict[str, str]:
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as problem:
        if must_exist:
            raise SettingsError(f"settings file {path} could not be read ({type(problem).__name__})") from None
        return {}
    found = {}
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        if not (match := _LINE.match(line.strip())):
            # the line itself may hold a secret, so only its number is told
            raise SettingsError(f"settings file {path}, line {number}: write it as NAME=value")
        name, value = match.groups()
        if len(value) > 1 and value[0] == value[-1] and value[0] in "\"'":
            value = value[1:-1]
        found[name] = value
    return found
