"""The tasks of a fish room by name, one task that is due, and which task a keeper's words mean."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, field
from functools import lru_cache

# In walking order: eggs first while hands are clean, then fry, then tanks, then what has a date.
TASKS: tuple[str, ...] = (
    "egg_water",
    "check_hatch",
    "look_at_peat",
    "pick_eggs",
    "keep_apart",
    "treat",
    "pull_mop",
    "collect_peat",
    "fry_water",
    "fry_feed",
    "feed",
    "water_change",
    "start_brine_shrimp",
    "harvest_brine_shrimp",
    "draw_water",
    "culture_restart",
    "culture_feed",
    "move_up",
    "thin_out",
    "wet_peat",
    "promised",
    "test_water",
    "service",
    "few_left",
    "reminder",
)

TWO_HOURS = dt.timedelta(hours=2)
NEVER = dt.timedelta.max  # the grace of a suggestion: it has its day, but is never late


@dataclass(frozen=True)
class HatchWindow:
    """Between when the first fry of a batch may be seen and when the last are expected; both aware."""

    earliest: dt.datetime
    latest: dt.datetime

    def open_at(self, moment: dt.datetime) -> bool:
        return self.earliest <= moment <= self.latest


@dataclass(frozen=True)
class DueTask:
    """One thing to do in one place. `due` is aware, in the room's zone; a culture's name stands in `place`.

    `first`: cannot wait, shown before all. `text`: a reminder's own words, a promise's who and what.
    `person`: whose task it is, where the routine names somebody. `grace`: how long past `due` it is not yet late:
    two hours for what has its hour, to the end of the day for what only has its day.
    """

    task: str
    place: str | None
    batch: str | None
    line: str | None
    due: dt.datetime
    why: str
    how: str | None = None
    first: bool = False
    text: str | None = None
    person: str | None = None
    grace: dt.timedelta = field(default=TWO_HOURS, compare=False)

    def overdue(self, now: dt.datetime, after: dt.timedelta | None = None) -> bool:
        """Whether it is late at `now` (aware): more than `after` past due, by default its own grace."""
        return _utc(now) - _utc(self.due) > (self.grace if after is None else after)

    def late_by_hours(self, now: dt.datetime) -> float:
        """Hours past due at `now` (aware), never below 0. Real hours, also on the nights the clock is changed."""
        return max(0.0, (_utc(now) - _utc(self.due)).total_seconds() / 3600)


def _utc(moment: dt.datetime) -> dt.datetime:
    # two datetimes of one zone are compared by their wall clocks, which is wrong where the clock is changed
    return moment.astimezone(dt.UTC)


_SHRIMP = r"(?:brine|bbs)"
_WORMS = r"(?:cultures?|micro|worm|vinegar|daphnia|mw)"
_START = r"(?:start|set up|setup|new|hatch)"
_AFRESH = r"(?:restart|re start|split|renew|redo|start|new|subculture|remake)"
_SEE = r"(?:look|check|watch|inspect)\w*"

# Patterns over the words, the first that hits counts: the tasks they mean, the likeliest first.
# A space stands for a gap of up to three words.
_MEANINGS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"\bremind\w*\b", ("reminder",)),
    (r"^dose of\b", ("treat",)),
    (
        r"\b(?:draw|drew|drawn|drawing|aging)\b water\b|^(?:the )?aged water|^(?:the )?water (?:to )?(?:draw|drawn)\b",
        ("draw_water",),
    ),
    (r"\bdown to (?:one|two|1|2|its)\b|\bfew left\b|\bgrowing old\b", ("few_left",)),
    (r"\bwet\b|\bwetting\b|\bflood (?:peat|bag|eggs)", ("wet_peat",)),
    (rf"\b{_SHRIMP} {_START}\b|\b{_START} {_SHRIMP}\b", ("start_brine_shrimp",)),
    (rf"\b(?:harvest|collect|strain|rinse|check|look)\w* {_SHRIMP}\b", ("harvest_brine_shrimp",)),
    (rf"\b{_SHRIMP} \w*harvest", ("harvest_brine_shrimp",)),
    (rf"\b(?:feed\w*|fed) {_WORMS}|\bcultures? (?:feed|fed)", ("culture_feed",)),
    (rf"\b{_AFRESH}\w* {_WORMS}|\bcultures? {_AFRESH}", ("culture_restart",)),
    (rf"\b(?:feed\w*|fed) {_SHRIMP}", ("fry_feed", "feed")),
    (r"\b(?:fry|bab(?:y|ies)) feed|\bfeed\w* (?:fry|bab(?:y|ies)|tubs?|nursery)", ("fry_feed",)),
    (r"\bfee?d(?:ing|s)?\b", ("feed", "fry_feed")),
    (rf"\b{_SHRIMP}\b", ("start_brine_shrimp",)),
    (r"\bcultures?\b|\bmicro\w*\b|\bvinegar\b|\bdaphnia\b", ("culture_feed",)),
    (rf"\b{_SEE} peat\b|\bpeat {_SEE}", ("look_at_peat",)),
    (r"\b(?:filters?|sponges?|service|servicing|floss|impeller)\b", ("service",)),
    (r"\b(?:ammonia|nitrite|nitrate|test|tests|testing)\b", ("test_water",)),
    (r"\bpickup\b|\bpick(?:s|ed|ing)?\sup\b|\bpromis\w+\b|\bbuyer\b|\border\b", ("promised",)),
    (r"\bpick\w*\b|\bfung\w+\b|\b(?:bad|white|dead|fuzzy) eggs?\b", ("pick_eggs",)),
    (r"\bpeat\b", ("collect_peat",)),
    (r"\bmops?\b|\bmopping\b", ("pull_mop",)),
    (r"\bpull\w*\b|\bcollect\w* eggs?\b", ("pull_mop", "collect_peat")),
    (r"\beggs? (?:water|wc|change|bath)|\bwater eggs?|\bperoxide\b", ("egg_water",)),
    (rf"\b{_SEE} (?:eggs?|fry|hatch\w*|tubs?)|\bhatch(?:es|ing)?\b|\bcheck\b", ("check_hatch",)),
    (r"\beggs?\b", ("egg_water", "check_hatch", "pick_eggs")),
    (r"\bfry (?:water|wc|change|tubs?)|\b(?:water|change) fry", ("fry_water",)),
    (r"\bmov(?:e|ed|ing)\b", ("move_up",)),
    (r"\btubs?\b", ("egg_water", "fry_water", "water_change")),
    (r"\bwater\b|\bw/?cs?\b|\bchanges?\b", ("water_change", "fry_water", "egg_water")),
    (r"\bthin\w*\b|\bcull\w*\b|\bcrowd\w*\b", ("thin_out",)),
    (r"\b(?:treat(?:ing|ments?|ed)?|medicines?|medicat\w+|dos(?:es?|ed|ing))\b", ("treat",)),
    (r"\bapart\b|\bseparat\w+\b", ("keep_apart",)),
)
_COMPILED = tuple((re.compile(p.replace(" ", r"\s+(?:\w+\s+){0,3}?")), tasks) for p, tasks in _MEANINGS)


@lru_cache(maxsize=2048)
def tasks_meant(words: str) -> tuple[str, ...]:
    """Every task the words may mean, the likeliest first: "tub C water" is egg water or fry water by what is there."""
    plain = " ".join(words.casefold().replace("-", " ").split())
    exact = plain.replace(" ", "_")
    if exact in TASKS:
        return (exact,)
    plain = plain.replace("_", " ")
    for pattern, tasks in _COMPILED:
        if pattern.search(plain):
            return tasks
    return ()


def tasks_said(words: str, placed: bool) -> tuple[str, ...]:
    """The tasks words mean when done or put off; without a place "water" is not every tub's as well."""
    found = tasks_meant(words)
    if placed or len(found) < 2:
        return found
    return found[:1] if found[0] == "water_change" else tuple(t for t in found if t != "water_change")


def task_meant(words: str) -> str | None:
    """The task a keeper's words mean ("egg tubs", "the filters", "tub C water"), or None."""
    found = tasks_meant(words)
    return found[0] if found else None


_IDLE = frozenset(
    "a an the my our to of in on at and for with it is be do done i me all up off tank tub tubs tanks".split()  # noqa: SIM905
)


@lru_cache(maxsize=2048)
def telling_words(words: str) -> frozenset[str]:
    """The words that say which reminder is meant, cut to their stems."""
    found = re.findall(r"[a-z0-9]+", words.casefold())
    return frozenset(_stem(w) for w in found if w not in _IDLE)


def _stem(word: str) -> str:
    """What rinse, rinsed and rinsing share, and bag and bagged."""
    bare = re.sub(r"(?:ing|ed|es|e|s)$", "", word) or word
    return bare[:-1] if len(bare) > 3 and bare[-1] == bare[-2] and bare[-1] in "bdgmnprt" else bare


def same_thing(said: str, text: str) -> bool:
    """Whether the words said of a reminder are about its text: half the longer is shared, or a word that is no chore's.

    "water" alone is not "pick up distilled water", but "Okafor" is "Okafor comes for his gularis".
    """
    one, other = telling_words(said), telling_words(text)
    shared = one & other
    if not shared:
        return False
    return len(shared) >= 0.5 * max(len(one), len(other)) or (shared == one and not tasks_meant(said))
