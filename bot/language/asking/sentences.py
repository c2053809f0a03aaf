"""Whether a sentence as a whole asks."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from collections.abc import Callable

from bot.language.asking.questions import ASKING, no_question, part_asks
from bot.language.asking.unmarked import asked_flatly, topic_of
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag

# Questions that stand as such without a mark, whatever verbs or numbers they hold.
_ASKED_FLATLY = re.compile(
    r"^(?:so |and |ok |but )?(?:at|by|from|since|in|on) (?:what|which) (?:age|size|date|day|time|temp|temperature|length|month|week|point|tank|tub|ph)\b"
    r"|^(?:has|have|did|does|do|is|are|was|were|will) (?:anything|anyone|anybody|nobody|none of|any of|somebody|someone)\b"
    r"|^(?:so |and |ok |but )?did (?:\w+ ){1,4}(?:get|have|eat|lay|hatch|die|survive|make|go|come|need|take|want|pay)\b"
    r"|^(?:please )?remind me (?:what|how much|how many|which|who|where|why)\b"
    r"|(?:\bis|\bare|=) what (?:percent|percentage|fraction|share|part|in)\b|= what$"
)


# "If I change 20 % a day when is nitrate under 10": what might be done, and a question of it.
_SUPPOSED = re.compile(
    r"^(?:and |so |but |ok |okay |say |well )*(?:what )?if (?:i|we) (?:only |just |were to |could )?"
    r"(?:change|keep|do|run|put|feed|raise|lower|turn|heat|cool|add|mix|dose|lose|cross|breed|use|hold|swap|start|stop|skip)\b"
    r".*\b(?:when|how (?:long|many|much|soon|often)|what|where|which|will|would|does)\b"
)


def asks(sentence: Sentence) -> bool:
    """Whether a sentence as a whole asks or requests to be shown something: what the first that holds says."""
    text = sentence.text()
    return next((asked for asked, holds in _IN_TURN if holds(sentence, text)), False)


def _only_sounds_asked(_: Sentence, text: str) -> bool:
    """ "Can you believe it"."""
    return no_question(text)


def _asked_flatly(_: Sentence, text: str) -> bool:
    """ "At what age do fry sex", "if I change 20 % a day when is nitrate under 10"."""
    return bool(_ASKED_FLATLY.search(text) or _SUPPOSED.search(text))


_PROMISE = re.compile(r"^(could|can|would|will) you (please )?(keep|hold|reserve|save|put|set|promise)\b.* for \w+$")
_TOLD_POLITELY = re.compile(
    r"^(could|can|would|will) (you|i) (please )?(note|log|record|write|put|mark)( down)?( that)? (i|we|he|she|the|that)\b"
)


def _politely_bidden(_: Sentence, text: str) -> bool:
    """A promise asked for, "could you keep a pair for Ana", or a telling: "can you note that I fed 3"."""
    return bool(_PROMISE.match(text) or _TOLD_POLITELY.match(text))


def _topic_in_doubt(sentence: Sentence, text: str) -> bool:
    """A topic of questions under a mark, and nothing that was done."""
    return sentence.stop == "?" and bool(topic_of(text)) and not any(_done_cue(t) for t in sentence.tags)


def _heads_a_list(sentence: Sentence, text: str) -> bool:
    """ "List for Monday" on a line of its own."""
    return sentence.stop == "\n" and bool(re.match(r"^(?:ok |okay |so )?(?:the )?list (?:for|of) \w+( \w+)?$", text))


def _named_and_asked(sentence: Sentence, _: str) -> bool:
    """ "Tank 6, is the peat due out": a name, and then a question about it."""
    first, rest = sentence.parts[:1], sentence.parts[1:]
    if not rest or not all(t.kind in ("place", "batch", "line", "person", "size") for t in first[0].tags):
        return False
    tags = [t for p in rest for t in p.tags]
    return asked_flatly(" ".join(t.word for t in tags), tags)


def _asked_without_mark(sentence: Sentence, text: str) -> bool:
    return sentence.stop != "." and bool(asked_flatly(text, sentence.tags, sentence.stop == "\n"))


def _place_please(sentence: Sentence, _: str) -> bool:
    """ "Tank 14, please."."""
    tags = sentence.tags
    return (
        tags[-1].word in ("please", "pls")
        and 1 < len(tags) <= 4
        and all(t.kind in ("place", "batch", "sep", "punct") or t.word in (",", "please", "pls") for t in tags)
    )


_TOLD_IN_ITS_FORM = re.compile(
    r"^(?:(?:should|were|had) .*, (?:i|we) (?:shall|will|would|'ll)"  # "should it drop, we'll heat"
    r"|(?:what's left|whats left) (?:looks?|is|are|seems?|in))\b"
)


def _tells_in_its_form(sentence: Sentence, text: str) -> bool:
    """ "Should it drop, we'll heat", "what's left looks fine"."""
    return sentence.stop != "?" and bool(_TOLD_IN_ITS_FORM.match(text))


_EXCLAIMED = re.compile(
    r"^(?:is (?:at|now|reading|still|back|down|up)\b|what (?:a|an)\b|how (?:lovely|nice|cute|annoying|funny|well|they|i|we)\b)"
)
_HEADS_A_FIGURE = re.compile(r"^(to do|due|report|stock|status|history|totals?|list|summary|find|will|has)\b")
_FINE = re.compile(r"^(which|who|where|when) (is|was|are|were) (fine|nice|good|fair|great|lovely|why|annoying)\b")


def _opens_as_no_question(sentence: Sentence, text: str) -> bool:
    """ "Is at 25 now", "what a day", "stock 3 sold": opened as questions are, and yet told."""
    if not ASKING.match(text):
        return False
    if _FINE.match(text):
        return True
    if sentence.stop == "?":
        return False
    tags = sentence.tags
    return bool(_EXCLAIMED.match(text)) or (
        bool(_HEADS_A_FIGURE.match(text))
        and any(t.senses.get("cue") for t in tags)
        and _of_kind(sentence, "num", "pct", "vol")
        and tags[0].kind != "lex"
    )


def _opens_as_question(_: Sentence, text: str) -> bool:
    return ASKING.match(text) is not None


_LAST_OF = re.compile(
    r"^last (wc|water|change|changed|fed|feed|pull|pulled|mop|dose|sale|test|reading|count|time|cleaned|hatch|nitrate|ph|temp|ammonia)\b"
)


def _of_the_last(sentence: Sentence, text: str) -> bool:
    """ "Last wc 13": nothing measured stands beside it."""
    return bool(_LAST_OF.match(text)) and not any(
        t.kind == "pct" or (t.kind == "num" and str(int(t.value)) not in "1234567890") for t in sentence.tags
    )


def _last_in_doubt(sentence: Sentence, _: str) -> bool:
    """ "Last for tub E?"."""
    return (
        sentence.stop == "?"
        and len(sentence.tags) <= 5
        and sentence.tags[0].word == "last"
        and not _of_kind(sentence, "pct", "vol")
    )


_FORGOTTEN = re.compile(r"\bdid (i|we) (forget|miss|leave out)\b|\bhow (is|are|'s) (it|they|things)\b")


def _forgotten(_: Sentence, text: str) -> bool:
    return bool(_FORGOTTEN.search(text))


_TOO_SOON = re.compile(
    r"\b(or (is it|is that|should i|not yet|too soon|do i|shall i)|too (soon|early|late|small|young|big|cold|warm|hot|risky) (to|for))\b"
)
_WEIGHED = re.compile(r"^(is |are |ok |okay |or )|.*\b(or (is it|is that|should i|do i|shall i))\b")


def _weighs_up(sentence: Sentence, text: str) -> bool:
    """ "Ok to move them or should I wait"."""
    return (
        bool(_TOO_SOON.search(text))
        and not _of_kind(sentence, "pct", "amount", "deg", "money")
        and bool(_WEIGHED.match(text))
    )


_FIGURES_PLEASE = re.compile(
    r"\b(status|numbers please|figures please|please show|update please|how many)$|\b(numbers|status|figures|count|tally|details|stats|overview|summary|list) (please|pls)\b"
)


def _figures_please(sentence: Sentence, text: str) -> bool:
    """ "Tub D numbers please"."""
    return (
        len(sentence.tags) <= 7
        and bool(_FIGURES_PLEASE.search(text))
        and not _of_kind(sentence, "num", "pct", "amount", "deg", "money")
    )


_COMES_TO = re.compile(r"\bwhat (do|would|will|should) (i|we|it|that) (end up|get|come to|be|need)\b")
_OF_A_SPAN = re.compile(
    r"^(deaths|losses|sales|takings|hatches|pulls|eggs?)( \w+)? (since|this|last|per|so far|by|between|from|in (january|february|march|april|may|june))\b"
)


def _totals(sentence: Sentence, text: str) -> bool:
    """ "What would I end up with", "deaths since May"."""
    if _COMES_TO.search(text):
        return True
    return bool(_OF_A_SPAN.match(text)) and not any(
        t.kind in ("num", "pct") or (t.senses.get("cue") and not t.says("cue", "sold", "dead", "hatch", "pull"))
        for t in sentence.tags
    )


def _ends_in_when(sentence: Sentence, text: str) -> bool:
    """ "Tub D hatch when"."""
    return (
        text.endswith(" when")
        and len(sentence.tags) <= 8
        and any(t.kind in ("place", "batch", "line", "culture") or t.says("food") for t in sentence.tags)
        and not _of_kind(sentence, "pct", "amount", "money")
    )


def _tallies_in_doubt(sentence: Sentence, text: str) -> bool:
    """ "Medaka deaths?"."""
    return (
        sentence.stop == "?"
        and bool(re.match(r"^(\w+ )?(deaths|losses|sales|takings|hatches)\b", text))
        and not _of_kind(sentence, "num", "pct", "money")
    )


_TO_BE_SHOWN = re.compile(
    r"^(?:give me (?:the|a|my|our) (?:list|rundown|summary|plan|overview|status|numbers|totals)"
    r"|next (?:mop|pull|wc|water|feed|change|count|hatch|due))\b"
)
_SUM = re.compile(r".*=|\d\S*( degrees?)? ?[fc]? in [fc]", re.DOTALL)


def _to_be_shown(_: Sentence, text: str) -> bool:
    """ "Give me the list", "next mop"."""
    return bool(_TO_BE_SHOWN.match(text))


def _when_of_one(sentence: Sentence, _: str) -> bool:
    """ "When tub D" and no more clauses."""
    tags = sentence.tags
    return (
        tags[0].word == "when"
        and len(tags) > 1
        and tags[1].kind in ("batch", "place", "line")
        and len(sentence.parts) == 1
    )


def _sum_to_do(_: Sentence, text: str) -> bool:
    """ "12 * 40 =", "78 in c"."""
    return bool(_SUM.fullmatch(text))


def _how_many(sentence: Sentence, text: str) -> bool:
    """ "Adults in 13 how many", and not "I know how many"."""
    return (
        "how many" in text
        and bool(re.search(r"\bhow many\b", text))
        and not re.search(r"\b(about|know|told|saw|see|matter|over) how many\b", text)
        and not any(
            t.senses.get("cue") and t.note != "muted" and not t.says("cue", "left", "gave", "count")
            for t in sentence.tags
        )
    )


_WONDERED = re.compile(
    r"\b(wants? to know|wondering|not sure|asking|asks|wonder)\b.*\b(what|how|when|which|whether|if|why)\b"
)


def _wondered(sentence: Sentence, text: str) -> bool:
    """ "Ana wants to know when they hatch"."""
    return bool(_WONDERED.search(text)) and sentence.stop != "." and len(sentence.tags) < 40


def _told_then_asked(sentence: Sentence, _: str) -> bool:
    """ "Pulled 12 from 3, when do they hatch?": its clauses are told apart."""
    if sentence.stop != "?" or len(sentence.parts) < 2:
        return False
    first, *rest = sentence.parts
    if ASKING.match(first.text()) or not any(part_asks(p) for p in rest):
        return False
    return any(t.kind in ("num", "pct", "vol") for t in first.tags) or _tells(first)


_ASKED_WITHIN = re.compile(
    r"\b(?:how|what|what's|when|when's|which|who|who's|where|where's|why|how's|whose|how're|what're|whens|whats"
    r"|should i|is that|is it|do i|can i|could you|can you|would it|are they|does that|eta|due|do you|did i|have we|have i"
    r"|is this|any|or not|is there|are there|did you)\b"
)
_NAMED = ("place", "batch", "line", "num", "size", "culture", "lex", "punct", "sep", "day")
_BESIDE_NAMES = frozenset(
    ["in", "and", "how's", "the", "a", "of", "ok", "okay", "status", "on", "for", "or", "yet", "today", "now"]
)


def _marked(sentence: Sentence, text: str) -> bool:
    """A mark after words that ask, or after names and hardly more: "tub D ok?"."""
    if sentence.stop != "?":
        return False
    return bool(_ASKED_WITHIN.search(text)) or (
        len(sentence.tags) <= 6 and all(t.kind in _NAMED or t.word in _BESIDE_NAMES for t in sentence.tags)
    )


# What each says when it holds; the first that does is believed.
_IN_TURN: tuple[tuple[bool, Callable[[Sentence, str], bool]], ...] = (
    (False, _only_sounds_asked),
    (True, _asked_flatly),
    (False, _politely_bidden),
    (True, _topic_in_doubt),
    (False, _heads_a_list),
    (True, _named_and_asked),
    (True, _asked_without_mark),
    (True, _place_please),
    (False, _tells_in_its_form),
    (False, _opens_as_no_question),
    (True, _opens_as_question),
    (True, _of_the_last),
    (True, _last_in_doubt),
    (True, _forgotten),
    (True, _weighs_up),
    (True, _figures_please),
    (True, _totals),
    (True, _ends_in_when),
    (True, _tallies_in_doubt),
    (True, _to_be_shown),
    (True, _when_of_one),
    (True, _sum_to_do),
    (True, _how_many),
    (True, _wondered),
    (False, _told_then_asked),
    (True, _marked),
)


def _of_kind(sentence: Sentence, *kinds: str) -> bool:
    return any(t.kind in kinds for t in sentence.tags)


def _done_cue(tag: Tag) -> bool:
    return bool(tag.senses.get("cue")) and (
        tag.word.endswith("ed") or tag.word in ("fed", "did", "lost", "sold", "put")
    )


def _tells(part: Part) -> bool:
    """Whether a clause says of a place or fish that something was done."""
    return any(_done_cue(t) for t in part.tags) and bool(part.kind("place", "batch", "line") or part.sense("group"))
