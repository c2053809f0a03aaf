"""The house stays in order: who may import whom, what is never loaded at start, and what the documents promise."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path
from typing import get_args

import pytest

from bot.command_line import usage
from bot.commands import _RUNS
from shared.events import Event

ROOT = Path(__file__).parents[1]
ROOMS = {
    "shared": {"shared"},
    "storage": {"storage", "shared"},
    "bot": {"bot", "storage", "shared"},
}
HEAVY = (
    "rapidfuzz",
    "scipy",
    "matplotlib",
    "pint",
    "statsmodels",
    "lifelines",
    "pandas",
    "numpy",
    "alembic",
    "telegram",
)


def _files(room: str) -> list[Path]:
    found = [f for f in (ROOT / room).rglob("*.py") if "__pycache__" not in f.parts]
    assert found
    return found


def _imports(file: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module.split(".")[0])
    return names


@pytest.mark.parametrize("room", ROOMS)
def test_each_room_imports_only_what_it_may(room: str) -> None:
    for file in _files(room):
        assert not (_imports(file) & set(ROOMS)) - ROOMS[room], file


def test_the_language_knows_no_database() -> None:
    for file in _files("bot/language"):
        assert "storage" not in _imports(file), file


def test_the_language_asks_nothing_else_of_the_bot() -> None:
    for file in _files("bot/language"):
        asked = re.findall(r"^ *(?:from|import) (bot\b[\w.]*)", file.read_text(encoding="utf-8"), re.MULTILINE)
        assert all(module.startswith("bot.language") for module in asked), file


@pytest.mark.parametrize("room", ROOMS)
def test_every_module_says_why_it_exists(room: str) -> None:
    for file in _files(room):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        assert ast.get_docstring(tree) or not tree.body, file


def test_a_first_note_loads_nothing_heavy() -> None:
    code = f"import sys, bot.hear, bot.commands; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.strip() == "[]"


def test_every_command_stands_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    actions = [a for a in usage.parser(_RUNS)._actions if a.dest == "word"]
    commands = list(actions[0].choices or ())
    assert len(commands) > 15
    for command in commands:
        assert re.search(rf"`(?:[^`]*[ ,])?{command}\b", readme), command


def test_every_kind_of_event_stands_in_the_readme() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    kinds = [kind.model_fields["kind"].default for kind in get_args(Event)]
    assert len(kinds) > 30
    for kind in kinds:
        assert f"| `{kind}` |" in readme, kind


def test_the_conversation_in_the_readme_is_a_real_one(request: pytest.FixtureRequest) -> None:
    golden = (ROOT / "tests/conversations/a_first_morning.md").read_text(encoding="utf-8").splitlines()
    told = [line for line in golden if line.startswith("    ") and not line.startswith("    + ")]
    assert len(told) > 10
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    before, mark, rest = readme.partition("What is typed stands behind `>`; the rest is Roomhand.\n\n")
    assert mark
    after = rest[rest.index("\n## ") :]
    whole = f"{before}{mark}{chr(10).join(told)}\n{after}"
    if request.config.getoption("--rewrite"):
        (ROOT / "README.md").write_text(whole, encoding="utf-8")
        return
    assert readme == whole


def test_the_top_level_is_as_it_should_be() -> None:
    listed = subprocess.run(["git", "ls-files"], capture_output=True, text=True, cwd=ROOT, check=False).stdout.split(
        "\n"
    )
    tops = {line.split("/")[0] for line in listed if line}
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "bot", "storage", "tests", "shared", "LICENSE"}
    assert {
        t for t in tops if not t.startswith(".") and not t.endswith(".lock") and not t.startswith("pylock")
    } <= allowed
