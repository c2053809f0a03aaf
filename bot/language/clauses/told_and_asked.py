"""Cuts a sentence that tells and asks in one breath: "18 eggs off tank 5, where should they go?"."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from dataclasses import replace

from bot.language.frames import seen
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.telling import Teller

_JOINERS = frozenset(["where", "who", "which", "", ",", "and", "so", "but", "-", "(", "also", "then", "plus", ":"])
_LEAD = r"^(?:(?:and|so|but|also|ok|now|then|or|just|pls|please|btw) ?,? ?)*"
_HELP = r"(?:is|are|was|were|do|does|did|has|have|can|could|should|will|would|shall|must|am|isn't|aren't|wasn't|weren't|don't|doesn't|didn't|hasn't|haven't|can't|shouldn't|won't)"
_WHO = r"(?:i|we|you|they|it|that|this|he|she|there|these|those|anyone|anybody|anything|somebody|someone|any|all|both)"
# How a clause opens that asks, wherever it stands: a verb before the one it is said of, or a word that asks with its verb.
_ASKS = re.compile(
    _LEAD
    + r"(?:"
    + rf"{_HELP} {_WHO}\b(?! (?:first|last) (?:thing|one)\b)"
    + r"|(?:is|are|do|does|did|will|can|should|has) (?:the|my|our|a|an|fry|eggs|killis|fish|females|males|tank|tub) (?:\w+ )*\w+"
    + r"|(?:is|are|was|does|did|has|do|will) (?:(?:tank|tub) )?\w{1,3} (?:\w+ )?(?:due|ready|next|done|fed|okay|ok|overdue|too|still|need|eat|lay|hatch|get|changed|empty|free|safe|big|old|on)\b"
    + rf"|(?:what|how) (?:\w+ ){{0,3}}?{_HELP}\b|(?:where|when|why) {_HELP}\b|(?:who|which) (?!is\b|are\b|was\b|were\b|has\b|have\b|will\b|can\b|i\b|we\b|she\b|he\b|they\b|it\b)(?:\w+ ){{1,3}}?{_HELP}\b"
    + r"|(?:what|where|how|when)'(?:s|re)\b(?! that .*left)"
    + r"|what (?:else|next|now|about|to do|if)\b|how (?:many|much|long|often|soon|old|big|about|come|bad|high|to)\b|why\b|where to\b|when to\b"
    + r"|any(?:thing|one)?(?: else| more)?\b(?! (?:way|how)\b)"
    + r")"
)
_NO_ASKING = re.compile(
    r"^(?:(?:and|so|but) )?(?:(?:can|could|would|will) you (?:please )?(?:keep|hold|reserve|save|put|set|promise|note|log|record|write|mark)\b|what a|what an|how (?:lovely|nice|cute|sweet|funny|annoying)|which (?:is|was|are|were) (?:fine|good|nice|odd|why|lovely|great|annoying|what|how|the)"
    r"|can you believe|could you believe|did you know|guess|who knew|what's left (?:is|looks|in)|are all|is all|(?:is|are|was|were) (?:it|that|they|he|she)(?:'s)? (?:now|then) )"
)
# What is asked in one word or two with a mark, of what was just told.
_JUDGED = re.compile(
    r"^(?:too |is |that |still |a bit |all )*(?:dangerous|safe|bad|okay|ok|normal|high|low|hot|cold|warm|much|many|few|soon|late|early|toxic|deadly|enough|worrying|serious|fine|alright|good|usual|risky|small|big)\b"
)
_SAYS = re.compile(r"^(?:i|we|i've|we've|just|already|have just|i just|we just)\b")
_SHOWN = re.compile(
    r"^(?:(?:and|so|also|then|pls|please) )*(?:(?:show|tell|give|draw) (?:me|us)|show|draw|graph|chart|plot)\b"
)


def cut_at_questions(sentences: list[Sentence], teller: Teller) -> list[Sentence]:
    """What is told and what is asked in one sentence are sentences of their own, the question after or before."""
    out: list[Sentence] = []
    for sentence in sentences:
        at = _where_it_turns(sentence, teller) if len(sentence.parts) > 1 else 0
        if not at:
            out.append(sentence)
            continue
        first, second = sentence.parts[:at], sentence.parts[at:]
        cut = next(n for n, t in enumerate(sentence.tags) if t is second[0].tags[0])
        asks_last = opens_asking(second[0], sentence.stop)
        first[-1].after, second[0].before = None, None
        if asks_last:
            told = replace(sentence, parts=first, tags=sentence.tags[:cut], stop=",")
            first[-1].asks = False
            out += [told, replace(sentence, parts=second, tags=sentence.tags[cut:], stop="?", after=told)]
        else:
            out.append(replace(sentence, parts=first, tags=sentence.tags[:cut], stop="?"))
            second[-1].asks = False
            out.append(replace(sentence, parts=second, tags=sentence.tags[cut:], stop="."))
    return out


def opens_asking(part: Part, stop: str) -> bool:
    """Whether a clause asks by the way it opens."""
    text = part.text()
    if _NO_ASKING.match(text) or (text.endswith("what's that") and part.after is not None):
        return False
    if stop == "?" and part.after is None and len(part.tags) <= 8 and _JUDGED.match(text):
        return True
    return bool(_ASKS.match(text)) or bool(_SHOWN.match(text) and part.before is not None)


def _where_it_turns(sentence: Sentence, teller: Teller) -> int:
    """The clause at which a sentence turns from telling to asking, or from asking to telling; 0 where it does not."""
    parts = sentence.parts
    if any(p.apart for p in parts) or any(t.says("cue", "remind", "snooze") for t in parts[0].tags[:2]):
        return 0
    asking = [opens_asking(p, sentence.stop) for p in parts]
    if asking[0]:
        for n in range(1, len(parts)):
            fresh = not any(t.kind == "day" and not t.value.future and t.value.offset != 0 for t in parts[n].tags)
            said = _SAYS.match(parts[n].text()) and parts[n].joiner in (",", "-", "(")
            if said and fresh and not any(asking[n:]) and any(_tells(p, teller) for p in parts[n:]):
                return n
        return 0
    turn = next((n for n in range(1, len(parts)) if asking[n] and parts[n].joiner in _JOINERS), 0)
    if not turn or any(p.muted in ("if", "hearsay", "quoted", "wish") for p in parts[:turn]):
        return 0
    if any(not asked and _tells(p, teller) for p, asked in zip(parts[turn:], asking[turn:], strict=True)):
        return 0  # it goes on telling after the question
    return turn if any(_tells(p, teller) for p in parts[:turn]) else 0


def _tells(part: Part, teller: Teller) -> bool:
    """Whether a clause tells of something that happened here."""
    if part.muted:
        return False
    kinds = seen(part, teller)
    if kinds and kinds[0] in ("measure", "water_change", "dose") and not _anchored(part, teller):
        return False  # "30 litres out of 112", "nitrate in 10": the figures of a sum, or what is asked about
    if kinds:
        return not any(t.says("cue", "rule") for t in part.tags)
    return _states_a_figure(part.tags)


def _anchored(part: Part, teller: Teller) -> bool:
    """Whether a clause names where, beside a figure or a verb of its own."""
    if part.kind("place", "batch", "size", "line") or part.sense("group") or part.noun("tank"):
        return len(part.kind("num", "deg", "pct", "vol", "frac", "amount")) > 0 or part.senses_cue()
    nums = part.kind("num")
    placed = [t for t in nums if teller.names.by_id.get(f"{t.value:g}")]
    figures = part.kind("num", "deg", "pct", "vol", "frac", "amount")
    return bool(placed) and (len(figures) > 1 or part.has("changed", "done", "wc", "topoff"))


def _states_a_figure(tags: list[Tag]) -> bool:
    """Whether a few words say what a place shows: "7 is 81 this afternoon"."""
    figures = [t for t in tags if t.kind in ("num", "deg", "place", "batch")]
    return len(figures) > 1 and any(t.word in ("is", "at", "was", "reads", "has", "had") for t in tags)
