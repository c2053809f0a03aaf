"""Parts of the year as a keeper says them: “in summer”, “from May to September”, “in July”.

They are kept as days without a year (ISO 8601: --06-01) and said back with their days, since seasons differ by place.
"""

from __future__ import annotations

import calendar
import datetime as dt
import re
from functools import lru_cache

# As each begins, however far it is written out.
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTHS = {name.casefold(): n for n, name in enumerate(calendar.month_name) if n}
_MONTHS |= {name.casefold(): n for n, name in enumerate(calendar.month_abbr) if n} | {"sept": 9}
_MONTH = "|".join(sorted(_MONTHS, key=len, reverse=True))
# Whole months of the northern year, as weather services count them; said back, so that others can say it otherwise.
SEASONS = {"spring": (3, 5), "summer": (6, 8), "autumn": (9, 11), "fall": (9, 11), "winter": (12, 2)}
_SEASON = re.compile(
    rf"^(?:in|during|over|every|each|all)(?: the)? (?:(?P<season>{'|'.join(SEASONS)})|(?P<month>{_MONTH}))$"
    rf"|^(?:in |from )(?P<first>{_MONTH}) (?:to|through|thru|until|till|and) (?P<last>{_MONTH})$"
)
_AT_HEAD = re.compile(rf"^(?P<when>(?:in|during|over)(?: the)? (?:{'|'.join(SEASONS)}|{_MONTH}))[ ,]+(?P<rest>.+)$")
SPEAKS_OF_ONE = re.compile(
    rf"\b(?:in|during|over|every|each|all|from)(?: the)? (?:{'|'.join(SEASONS)}|{_MONTH})\b", re.IGNORECASE
)


@lru_cache(maxsize=1024)
def season_in(words: str) -> tuple[str, str] | None:
    """The first and last day of the part of the year that the words name, without a year."""
    hit = _SEASON.match(words)
    if not hit:
        return None
    if hit["season"]:
        first, last = SEASONS[hit["season"]]
    else:
        first = _MONTHS[hit["month"] or hit["first"]]
        last = _MONTHS[hit["last"]] if hit["last"] else first
    days = calendar.monthrange(2024, last)[1]
    return f"--{first:02}-01", f"--{last:02}-{days:02}"


def at_its_end(text: str) -> str:
    """“In summer, pull mops daily” with its season last."""
    hit = _AT_HEAD.match(text)
    return f"{hit['rest']} {hit['when']}" if hit else text


def told_season(first: tuple[int, int], last: tuple[int, int]) -> str:
    """`1 Jun to 31 Aug each year`, `1 Dec to the end of Feb each year`."""
    one, other = (dt.date(2024, *day) for day in (first, last))
    end = f"the end of {other:%b}" if last == (2, 29) else f"{other.day} {other:%b}"
    return f"{one.day} {one:%b} to {end} each year"
