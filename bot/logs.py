"""What is logged holds no token, no number and no words of a note, whoever logs it and whoever listens."""

from __future__ import annotations

import io
import logging
import re
import sys
import traceback
from collections.abc import Iterable
from types import TracebackType
from typing import Any

# Libraries that log addresses with the token in them, or what they carry.
LOUD = ("httpx", "httpcore", "telegram", "h11", "sqlalchemy", "alembic", "twilio", "urllib3", "asyncio")
_TOKEN = re.compile(r"(?<!\d)\d{5,}:[A-Za-z0-9_-]{30,}")
_NUMBER = re.compile(r"\+?\d[\d ().-]{7,}\d")
_CLOCKED = re.compile(r"\d{4}-\d\d-\d\d")


class Redactor:
    """Takes secrets, bot tokens and telephone numbers out of a text."""

    def __init__(self, secrets: Iterable[str] = ()) -> None:
        known = sorted({s for s in secrets if len(s) > 3}, key=len, reverse=True)
        self._known = re.compile("|".join(map(re.escape, known))) if known else None

    def __call__(self, text: str) -> str:
        if self._known:
            text = self._known.sub("…", text)
        text = _TOKEN.sub("…", text)
        return _NUMBER.sub(lambda m: m[0] if _CLOCKED.match(m[0]) else "…", text)


def be_quiet(secrets: Iterable[str] = (), level: int = logging.INFO) -> None:
    """From here on every log record of the process, from any library to any handler, is redacted.

    Records of libraries that carry people's words keep their template and lose what was filled in.
    """
    redact = Redactor(secrets)

    def make(*args: Any, **kwargs: Any) -> logging.LogRecord:
        record = logging.LogRecord(*args, **kwargs)
        if record.name.split(".", 1)[0] in LOUD:
            record.msg, record.args = redact(str(record.msg)), ()
        else:
            try:
                record.msg = redact(record.getMessage())
            except (TypeError, ValueError):  # a call whose arguments do not fit its template
                record.msg = redact(str(record.msg))
            record.args = ()
        if record.exc_info:
            record.exc_text = bare_trace(record.exc_info[1])
            record.exc_info = None
        record.stack_info = None
        return record

    logging.setLogRecordFactory(make)
    for name in LOUD:
        logging.getLogger(name).setLevel(logging.WARNING)
    logging.getLogger().setLevel(level)
    sys.excepthook = _excepthook


def write_log(stream: io.TextIOBase | None = None) -> None:
    """One handler on standard error; the time is left to whoever collects it when that is the journal."""
    handler = logging.StreamHandler(stream)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    logging.getLogger().addHandler(handler)


def bare_trace(problem: BaseException | None) -> str:
    """Where something went wrong: kinds and places only, since messages of exceptions may quote notes."""
    lines: list[str] = []
    while problem is not None and len(lines) < 5:
        frames = traceback.extract_tb(problem.__traceback__)[-4:]
        places = " > ".join(f"{f.filename.rsplit('/', 1)[-1]}:{f.lineno} {f.name}" for f in frames)
        lines.append(f"{type(problem).__module__}.{type(problem).__qualname__} at {places or 'an unknown place'}")
        problem = problem.__cause__ or problem.__context__
    return "\n".join(lines)


def _excepthook(kind: type[BaseException], problem: BaseException, _: TracebackType | None) -> None:
    if issubclass(kind, KeyboardInterrupt):
        return
    print(f"roomhand stopped: {bare_trace(problem)}", file=sys.stderr)
