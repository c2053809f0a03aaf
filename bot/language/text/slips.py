"""Self-correction within a note: of "twelve no wait fifteen" only fifteen stands."""

from __future__ import annotations

import re

from bot.language.tags import Tag
from bot.language.times.days import Clock

_CORRECTS = re.compile(
    r"(^|[,.-] )no( [,.]|$)|(?<!but )\bno$"
    r"|(^|\s)(sorry|wait|scratch that|i mean|make that|or rather|correction|oops|call it)(\s|$)"
)  # "4 for no reason" puts nothing right


def mend_slips(tags: list[Tag]) -> None:
    """Self-correction within a note: of "twelve no wait fifteen" only fifteen stands."""
    kinds = ("num", "pct", "frac", "place", "money", "vol", "batch", "amount", "clock", "deg")
    for n, tag in enumerate(tags):
        if tag.kind not in kinds or tag.claimed:
            continue
        words: list[str] = []
        strong = False
        m = n + 1
        while m < len(tags) and m - n <= 8:
            here = tags[m]
            if here.kind in kinds and (
                here.kind == tag.kind
                or {here.kind, tag.kind} <= {"pct", "frac", "num"}
                or (tag.kind == "clock" and here.kind == "num")
            ):
                break
            if here.kind == "stop" and here.word in ("\n", "?", ";"):
                words = ["|"]
                break
            words.extend(here.word.split())
            m += 1
        else:
            continue
        if m >= len(tags) or not words or "|" in words or any(t.says("quantity") for t in tags[n + 1 : m]):
            continue
        joined = " ".join(words)
        if _CORRECTS.search(joined) and not re.search(r"\b(no (eggs|fry|dead|more|food|feed)|not)\b", joined):
            strong = len([w for w in words if w.isalpha()]) <= (
                8 if re.search(r"\b(no wait|wait no|no make|sorry|make that)\b", joined) else 5
            )
        if re.search(r"\b(so let's say|so say|let's say|call it)$", joined):
            strong = True
        if joined in ("no", ", no", "- no", "no ,", ", no ,") and tag.kind == "num" and tags[m].kind == "num":
            strong = True
        if strong:
            if (
                tag.kind == "clock"
                and tags[m].kind == "num"
                and tags[m].value == int(tags[m].value)
                and 1 <= tags[m].value <= 12
            ):
                tags[m].kind, tags[m].value = "clock", Clock(int(tags[m].value), 0, tag.value.half)
            tag.claimed = "corrected"
            tag.kind, tag.word = "word", ""
            for slip in tags[n + 1 : m]:
                if slip.kind in ("lex", "word", "punct", "stop") and any(
                    w in slip.word.split()
                    for w in (
                        "no",
                        "sorry",
                        "wait",
                        "make",
                        "scratch",
                        "mean",
                        "call",
                        "let's",
                        "correction",
                        "actually",
                        "rather",
                        "oops",
                        ",",
                        "-",
                        ".",
                        "that",
                        "i",
                        "it",
                        "say",
                        "so",
                        "then",
                        "legs",
                    )
                ):
                    if slip.word in ("then",):
                        continue
                    slip.kind, slip.word, slip.senses = "word", "", {}
