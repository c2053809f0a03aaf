"""The patterns of long tables, each made when it is first tried: few are in one run, and all together take a while."""

from __future__ import annotations

import re
from functools import cache


@cache
def pattern(words: str) -> re.Pattern[str]:
    """What is matched, as it is written."""
    return re.compile(words)
