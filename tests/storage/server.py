"""A PostgreSQL server of the tests' own: in a temporary folder, reached by a socket there, gone afterwards."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

# Speed over safety: nothing in it is meant to survive the tests.
OPTIONS = "-c listen_addresses='' -c fsync=off -c synchronous_commit=off -c full_page_writes=off"


def binaries() -> Path | None:
    """The folder of PostgreSQL's programs, if it is installed."""
    found = shutil.which("initdb")
    if found:
        return Path(found).resolve().parent
    known = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3]))
    return known[-1].parent if known else None


@contextmanager
def running(programs: Path, options: str = OPTIONS) -> Iterator[str]:
    """A running server; yields the folder of its socket."""
    folder = tempfile.mkdtemp(prefix="pg", dir="/tmp")
    as_owner: list[str] = []
    if os.geteuid() == 0:  # the server refuses to run as root
        shutil.chown(folder, "postgres", "postgres")
        as_owner = ["runuser", "-u", "postgres", "--"]
    data = f"{folder}/data"

    def run(*command: str) -> None:
        done = subprocess.run([*as_owner, *command], capture_output=True, text=True, cwd=folder)
        if done.returncode:
            raise RuntimeError(f"{command[0]}: {done.stderr or done.stdout}")

    run(f"{programs}/initdb", "-D", data, "-U", "postgres", "-A", "trust", "-N", "-E", "UTF8", "--locale=C")
    server = subprocess.Popen(
        [*as_owner, "sh", "-c", f"exec {programs}/postgres -D {data} -k {folder} {options}"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        cwd=folder,
    )
    try:
        _await(folder)
        yield folder
    finally:
        os.kill(int(Path(data, "postmaster.pid").read_text().split()[0]), signal.SIGQUIT)
        server.wait(10)
        shutil.rmtree(folder, ignore_errors=True)


def _await(folder: str) -> None:
    for _ in range(200):
        try:
            psycopg.connect(host=folder, user="postgres").close()
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError("the server did not start")
