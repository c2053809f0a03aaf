"""Questions of the record that are asked in so many words, for messages no other reading has claimed."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.text.pattern import pattern

_LEAD = r"^(?:(?:ok|okay|so|hey|hi|and|please|pls|roomhand)[ ,:]+)*(?:show (?:me )?|list |tell me |what(?:'s| is) |what are )?(?:the |our |my |all )?"
_PLACES = r"(?:tanks?|tubs?)"
_RULES: tuple[tuple[str, str], ...] = (
    ("due", r"(?:is there )?(?:anything|something|much) (?:due|left|to do|overdue)\b"),
    ("place", rf"(?:which|what|any|how many|empty|free) {_PLACES} (?:are|is|have|has|without|with|hold|holds|above|below|over|under|free|empty|do|did)\b"),
    ("place", rf"(?:empty|free|warmest|coldest|hottest|coolest) {_PLACES}\b"),
    ("place", r"(?:what|which|who)(?:'s| is| are| fish are)? (?:fish )?(?:is |are )?in (?:the )?(?:nursery|quarantine|grow-?outs?)\b"),
    ("batch", r"(?:oldest|youngest|newest) batch\b|(?:which|what) batch(?:es)? (?:is|are)\b"),
    ("place", r"in the (?:peat )?bags?\b"),
    ("stock", r"where (?:are|is) (?:all )?(?:the |my |our )?(?:\w+ )?(?:fry|eggs|juveniles|young|adults)\b"),
    ("stock", r"when (?:is|does|will) [a-z]+ (?:coming|come|collect\w*|pick\w*)\b"),
    ("totals", r"(?:did|have|has) (?:we|i|anyone|anybody) (?:sell|sold|lose|lost|hatch|hatched|pull|pulled) (?:anything|any|some)\b"),
    ("history", r"sales to [a-z]+\b"),
    ("batch", r"(?:who are (?:the )?)?(?:generation|parents?|age) of (?:the |batch )?\w+(?: \w+)?\W*$"),
    ("hatch", r"hatch(?:ing)? (?:dates?|days|times?|windows?)\b|next (?:to )?hatch\b|what hatches\b|what(?:'s| is) hatching\b"),
    ("hatch", r"[a-z]+(?: [a-z]+)? hatch(?:ing)? (?:days|dates?|times?)\b"),
    ("rate", r"(?:the )?(?:hatch )?(?:rate|percent\w*|share) (?:is|of|for) \d+ (?:of|out of|from) \d+\b"),
    ("rate", r"\d+ (?:of|out of) \d+ (?:eggs )?(?:hatched|survived|made it),? (?:what|how)\b"),
    ("dose", r"(?:is |can i use )\d+ ?(?:%|percent) (?:hydrogen )?(?:peroxide|h2o2)\b"),
    ("rate", r"fertility\b|our fertility\b"),
    ("totals", r"(?:income|earnings|takings|sales|deaths|losses|eggs|hatches|money|sold|lost|died|hatched) (?:by|per|each|this|last|since|over|(?:in|for) (?:the )?(?:last|past|this|week|month|year|jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|spring|summer|autumn|winter)\w*)\b"),
    ("totals", r"(?:best|worst|top) (?:layers?|laying|tanks?|pairs?|sellers?)\b"),
    ("history", r"(?:what|how much) (?:did|has|have) [a-z]+ (?:buy|bought|pay|paid|take|taken|ordered?)\b|who is [a-z]+\W*$"),
)  # fmt: skip
_ANY = re.compile(_LEAD + f"(?:{'|'.join(words for _, words in _RULES)})")  # asks them all at once: mostly none
_LAST_OF = re.compile(
    r"^(?:when was (?:the )?)?last (?:wc|water change|change|feed|mop|pull|dose|clean(?:ing)?) (?:in |of |for )?(?:tank |tub |t)?(\d{1,3}|[a-z])\W*$"
)


def asked_plainly(text: str) -> str | None:
    """The kind of question these words ask when nothing else has claimed them, else None."""
    said = " ".join(text.casefold().replace("’", "'").split())
    if _LAST_OF.match(said):
        return "last"
    if not _ANY.match(said):
        return None
    return next((about for about, words in _RULES if pattern(f"{_LEAD}(?:{words})").match(said)), None)
