"""Settings come from the environment or a file, complain in plain words, and never show a secret."""

from __future__ import annotations

import pwd
from pathlib import Path

import pytest

from bot.settings import Settings, SettingsError, lines_of, open_to_others, read_settings

TOKEN = "123456789:AAsecretsecretsecretsecretsecretsec"


def test_the_environment_wins_over_the_file(tmp_path: Path) -> None:
    file = tmp_path / "settings"
    file.write_text(f"# a comment\n\nROOMHAND_TELEGRAM_TOKEN='{TOKEN}'\nexport ROOMHAND_LISTEN=:8080\nOTHER=1\n")
    settings = read_settings({"ROOMHAND_SETTINGS": str(file), "ROOMHAND_LISTEN": "[::1]:99"})
    assert settings.telegram_token and settings.telegram_token.get_secret_value() == TOKEN
    assert settings.listen == ("::1", 99)


def test_a_bare_port_listens_on_this_machine_only() -> None:
    assert read_settings({"ROOMHAND_LISTEN": ":8080"}).listen == ("127.0.0.1", 8080)


def test_nothing_set_is_fine(tmp_path: Path) -> None:
    (tmp_path / "settings").touch()
    settings = read_settings({}, tmp_path / "settings")
    assert settings == Settings()
    assert settings.telegram_api == "https://api.telegram.org"


def test_who_has_no_home_has_no_settings_file(monkeypatch: pytest.MonkeyPatch) -> None:
    """As a service, or in a container under any number."""
    monkeypatch.delenv("HOME", raising=False)
    monkeypatch.delenv("XDG_CONFIG_HOME", raising=False)
    monkeypatch.setattr(pwd, "getpwuid", {}.__getitem__)  # nobody knows the number
    assert read_settings({"ROOMHAND_LISTEN": ":8080"}) == Settings(listen=("127.0.0.1", 8080))


def test_a_secret_may_stand_in_its_own_file(tmp_path: Path) -> None:
    kept = tmp_path / "token"
    kept.write_text(TOKEN + "\n")
    settings = read_settings({"ROOMHAND_TELEGRAM_TOKEN_FILE": str(kept)})
    assert settings.telegram_token and settings.telegram_token.get_secret_value() == TOKEN


@pytest.mark.parametrize(
    ("given", "names"),
    [
        ({"ROOMHAND_LISTEN": "everywhere"}, "ROOMHAND_LISTEN: write it like 127.0.0.1:8080"),
        ({"ROOMHAND_LISTEN": "0.0.0.0:70000"}, "ROOMHAND_LISTEN: write it like 127.0.0.1:8080"),
        ({"ROOMHAND_PUBLIC_URL": "room.example.org"}, "ROOMHAND_PUBLIC_URL: write it like https://room.example.org"),
        ({"ROOMHAND_PUBLIC_URL": "https://room.example.org"}, "ROOMHAND_PUBLIC_URL needs ROOMHAND_LISTEN"),
        ({"ROOMHAND_SMS_GATEWAY": "pigeon"}, "ROOMHAND_SMS_GATEWAY"),
        ({"ROOMHAND_SMS_GATEWAY": "plain"}, "needs ROOMHAND_SMS_SECRET"),
        (
            {"ROOMHAND_SMS_GATEWAY": "twilio", "ROOMHAND_SMS_SECRET": "s3cret-s3cret", "ROOMHAND_LISTEN": ":1"},
            "needs ROOMHAND_PUBLIC_URL",
        ),
        ({"ROOMHAND_TELEGRAM_TOKEN_FILE": "/nowhere/token"}, "ROOMHAND_TELEGRAM_TOKEN_FILE: /nowhere/token"),
        ({"ROOMHAND_SETTINGS": "/nowhere/settings"}, "settings file /nowhere/settings could not be read"),
    ],
)
def test_what_is_wrong_is_named(given: dict[str, str], names: str) -> None:
    with pytest.raises(SettingsError) as wrong:
        read_settings(given)
    assert names in str(wrong.value)


def test_a_line_that_is_no_setting_is_told_by_number_and_not_quoted(tmp_path: Path) -> None:
    file = tmp_path / "settings"
    file.write_text(f"ROOMHAND_LOG=info\n{TOKEN}\n")
    with pytest.raises(SettingsError) as wrong:
        read_settings({}, file)
    assert "line 2" in str(wrong.value)
    assert TOKEN not in str(wrong.value)


def test_no_form_of_the_settings_shows_a_secret() -> None:
    settings = read_settings(
        {
            "ROOMHAND_TELEGRAM_TOKEN": TOKEN,
            "ROOMHAND_DB": "postgresql://room:password123@db/room",
            "ROOMHAND_LISTEN": ":1",
            "ROOMHAND_SMS_GATEWAY": "plain",
            "ROOMHAND_SMS_SECRET": "s3cret-s3cret",
        }
    )
    shown = f"{settings!r} {settings} {settings.listed()} {settings.model_dump_json()}"
    assert TOKEN not in shown and "s3cret" not in shown
    assert "password123" not in str(settings.listed())
    assert {name for name, _, _ in settings.listed()} >= {"ROOMHAND_TELEGRAM_TOKEN", "ROOMHAND_SMS_NUMBER"}
    assert set(settings.secrets) == {TOKEN, "s3cret-s3cret"}


def test_a_file_others_can_read_is_noticed(tmp_path: Path) -> None:
    file = tmp_path / "settings"
    file.touch(0o600)
    assert not open_to_others(file)
    file.chmod(0o644)
    assert open_to_others(file)
    assert not open_to_others(tmp_path / "none")


def test_a_folder_nobody_lets_us_look_into_is_said_and_not_taken_for_empty(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(_: Path) -> bool:
        raise PermissionError

    monkeypatch.setattr(Path, "exists", refused)
    monkeypatch.setattr(Path, "read_text", lambda *_, **__: refused(Path()))
    with pytest.raises(SettingsError, match="could not be read"):
        lines_of(Path("/root/.config/roomhand/settings"))
