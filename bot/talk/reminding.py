"""What a reminder is asked for, in the keeper's own words without the asking and without its day."""

from __future__ import annotations

import re

_TO = re.compile(r"\b(?:remind|nudge|tell|ping|bug)\s+me\b.*?\b(?:to|about|that)\s+(.+)", re.IGNORECASE | re.DOTALL)
_REMIND = re.compile(
    r"\b(?:please\s+)?(?:can you\s+|could you\s+)?remind(?:er)?(?:\s+me)?\b:?(?:\s+to\b)?", re.IGNORECASE
)
_ITS_DAY = re.compile(
    r"\s+(?:today|tonight|tomorrow(?: (?:morning|evening|night))?"
    r"|(?:on |this |next )?(?:mon|tues|wednes|thurs|fri|satur|sun)day(?: (?:morning|evening|night))?)\W*$",
    re.IGNORECASE,
)
_ITS_ROUND = re.compile(
    r"^\s*(?:on )?every (?:other |second |third )?(?:day|week|month|morning|evening|night|[a-z]+day)s?[,:]?\s+"
    r"|^\s*every \d+ (?:days|weeks|months)[,:]?\s+",
    re.IGNORECASE,
)
_NOTHING = re.compile(
    r"^[\s,.;!]*(?:to|about)?(?:\s*(?:on|at|in|every|each|other|next|this|today|tonight|tomorrow|daily|weekly"
    r"|mornings?|evenings?|nights?|days?|weeks?|[ap]m|\d[\d:.]*(?:am|pm|st|nd|rd|th)?|(?:mon|tues?|wednes|thurs?|fri|satur|sun)days?))*"
    r"[\s,.;!]*$",
    re.IGNORECASE,
)


def to_remember(text: str) -> str:
    """What is to be remembered, in the keeper's own words without the asking."""
    found = _TO.search(text)
    words = found[1] if found else _REMIND.sub(" ", text)
    if not found and (kept := _ITS_ROUND.sub("", words).strip()):
        words = kept  # “every other Tuesday squeeze the sponge in 4”
    if found and (kept := _ITS_DAY.sub("", words).strip()):
        words = kept  # the day stands before it: “Will remind tomorrow: buy peroxide.”
    return " ".join(words.split()).strip(" ,.;!") or text


def says_nothing(words: str) -> bool:
    """Whether nothing is named to be reminded of, at most a day and an hour."""
    return bool(_NOTHING.match(_REMIND.sub("", words)))
