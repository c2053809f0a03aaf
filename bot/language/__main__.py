"""`python -m bot.language --room-card ROOM.json`: readings as JSON lines, in and out."""

from __future__ import annotations

import argparse
import sys

from bot.language.lines import read_lines


def main() -> int:
    parser = argparse.ArgumentParser(description="Read notes from standard input as JSON lines.")
    parser.add_argument("--room-card", required=True)
    return read_lines(parser.parse_args().room_card, sys.stdin, sys.stdout)


if __name__ == "__main__":
    raise SystemExit(main())
