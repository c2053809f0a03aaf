"""How it is run for good: the unit is one systemd takes, nothing runs as root, and whatever is written to is there."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

from bot.channels import serve as serving

ROOT = Path(__file__).parents[2]
DEPLOY = Path(serving.__file__).parents[1] / "deploy"
UNIT = (DEPLOY / "roomhand.service").read_text(encoding="utf-8")
CONTAINER = (DEPLOY / "Containerfile").read_text(encoding="utf-8")


def commands() -> list[list[str]]:
    joined = CONTAINER.replace("\\\n", " ")
    return [line.split() for line in joined.splitlines() if line[:1].isupper()]


def test_the_service_and_the_container_do_not_run_as_root() -> None:
    assert "DynamicUser=yes" in UNIT and "NoNewPrivileges=yes" in UNIT
    users = [words[1] for words in commands() if words[0] == "USER"]
    assert users == ["10001:10001"]
    names = [words[0] for words in commands()]
    assert names.index("USER") < names.index("CMD")


def test_systemd_takes_the_unit(tmp_path: Path) -> None:
    """Where systemd is; it also wants the program to be there, so a program that is stands in for it."""
    unit = tmp_path / "roomhand.service"
    unit.write_text(UNIT.replace("/opt/roomhand/bin/roomhand", "/bin/true"))
    known = dict(line.split("=", 1) for line in UNIT.splitlines() if re.match(r"[A-Z]\w+=", line))
    assert known["ExecStart"].split()[1:] == ["serve"]
    if analyze := shutil.which("systemd-analyze"):
        done = subprocess.run([analyze, "verify", str(unit)], capture_output=True, text=True, check=False)
        assert (done.returncode, done.stderr) == (0, "")


def test_both_give_it_time_to_finish_and_a_folder_of_its_own() -> None:
    seconds = re.search(r"TimeoutStopSec=(\d+)", UNIT)
    assert seconds and int(seconds[1]) > serving.FINISH_SECONDS
    assert serving.FINISH_SECONDS < 10, "what container runtimes wait before they kill"
    assert ["STOPSIGNAL", "SIGTERM"] in commands()
    folder = re.search(r"StateDirectory=(\w+)", UNIT)
    assert folder and UNIT.count(f"/var/lib/{folder[1]}/") == 2
    assert f"Environment=HOME=/var/lib/{folder[1]}\n" in UNIT, "a user of no standing has no home of its own"
    assert "/data/room.db" in CONTAINER and ["VOLUME", "/data"] in commands()


def test_all_the_image_is_made_of_is_in_the_house() -> None:
    copied = [words[1:-1] for words in commands() if words[0] == "COPY" and not words[1].startswith("--")]
    assert {name for names in copied for name in names} >= {"pyproject.toml", "README.md", "bot", "storage", "shared"}
    for names in copied:
        assert all((ROOT / name).exists() for name in names)


def test_the_image_takes_the_pinned_versions_and_every_extra() -> None:
    (step,) = [line for line in CONTAINER.splitlines() if "pip install" in line]
    assert "-c constraints.txt" in step and "'.[all]'" in step
    assert any(".ci/constraints.txt" in words for words in commands())


def test_versions_are_pinned_and_cover_what_is_asked_for() -> None:
    pinned = set(re.findall(r"^([\w.-]+)==", (ROOT / ".ci" / "constraints.txt").read_text(), re.M))
    wanted = set(re.findall(r'^    "([\w-]+)[\[>"]', (ROOT / "pyproject.toml").read_text(), re.M)) - {"roomhand"}
    plain = {name.casefold().replace("_", "-") for name in pinned}
    assert {name.casefold() for name in wanted} - plain == set()
