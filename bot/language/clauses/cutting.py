"""Cuts a note into sentences, and sentences into clauses."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from bot.language.kept_out.others_news import of_others, wants_no_record
from bot.language.kept_out.ours import of_the_room
from bot.language.kept_out.plans_and_wishes import carry_on, guard
from bot.language.kept_out.small_talk import opens_talk, set_apart
from bot.language.scene import COUNTED, Part, Sentence
from bot.language.tags import Tag
from bot.language.text.names import Names

_SPLIT_WORDS = frozenset(
    {"and", "then", "but", "so", "while", "because", "although", "though", "plus", "also", "whereas", "after",
     "before", "as"}
)  # fmt: skip


_SAMEABLE = frozenset(
    {"num", "place", "line", "clock", "pct", "vol", "size", "batch", "person", "culture", "deg", "frac"}
)


def sentences_of(tags: list[Tag], names: Names) -> list[Sentence]:
    """The note's sentences with their clauses; guards already set."""
    out: list[Sentence] = []
    current: list[Tag] = []
    line = 0
    for tag in tags:
        if tag.kind == "stop":
            if current:
                out.append(Sentence([], current, line, tag.word))
                current = []
            elif out and tag.word == "?":
                out[-1].stop = "?"
            if tag.word == "\n":
                line += 1
            continue
        current.append(tag)
    if current:
        out.append(Sentence([], current, line, ""))
    for number, sentence in enumerate(out):
        sentence.parts = list(_parts(sentence, number))
        for one, two in zip(sentence.parts, sentence.parts[1:], strict=False):
            one.after, two.before = two, one
        if sentence.stop == "?" and sentence.parts:
            sentence.parts[-1].asks = True
        for part in sentence.parts:
            guard(part)
            if "☐" in (sentence.tags[0].word, sentence.tags[-1].word):
                part.muted = part.muted or "plan"
        carry_on(sentence.parts)
        set_apart(sentence, names)
        if _heads_a_plan(sentence):
            for part in sentence.parts:
                part.muted = part.muted or "plan"
        if sentence.tags[0].word == "when" and any(p.muted == "plan" for p in sentence.parts[1:]):
            sentence.parts[0].muted = sentence.parts[0].muted or "if"  # "when B eyes up I'll move it"
        if wants_no_record(sentence):
            for part in sentence.parts:
                part.muted = part.muted or "not"
        if of_others(sentence, names):
            _leave_to_others(sentence, names)
    _jokes(out)
    return out


_JOKE = re.compile(
    r"(?:ha(?:ha)*|lol|no|just|only|it's|i'm|i am|well|,| )*(?:april fools?|kidding|joking|jk)(?: (?:lol|haha|you))*"
)


def _jokes(sentences: list[Sentence]) -> None:
    """Mute what was only said in jest: "all the eggs in C hatched! April fool"."""
    for n, sentence in enumerate(sentences):
        if _JOKE.fullmatch(sentence.text()):
            for part in (p for s in sentences[max(0, n - 1) : n + 1] for p in s.parts):
                part.muted = part.muted or "jest"
        elif sentence.parts and _JOKE.fullmatch(sentence.parts[-1].text()):
            for part in sentence.parts:
                part.muted = part.muted or "jest"


def _heads_a_plan(sentence: Sentence) -> bool:
    """Whether a sentence begins with what makes a plan of all of it: "maybe tomorrow: …", "planned for sat: …"."""
    first, *rest = sentence.parts or [Part([])]
    if first.muted != "plan" or len(first.tags) > 5:
        return False
    ahead = len(first.tags) <= 3 and any(t.kind == "day" and t.value.future for t in first.tags)
    return ahead or bool(rest and rest[0].joiner == ":" and not first.kind("num", "place", "batch"))


def _leave_to_others(sentence: Sentence, names: Names) -> None:
    """Mute what a sentence tells of somebody else's fish, and leave what it tells of the room."""
    theirs = False
    for part in sentence.parts:
        told = of_the_room(part, names) or (part.kind("line") and part.senses_cue())
        alone = replace(sentence, parts=[part], tags=part.tags)
        if (told or not (theirs or part.senses_cue())) and not of_others(alone, names):
            continue
        part.muted, theirs = part.muted or "hearsay", True


def _like(a: Tag, b: Tag) -> bool:
    """Whether a comma or "and" between two tags only lists them."""
    if a.kind in _SAMEABLE and (
        a.kind == b.kind or {a.kind, b.kind} <= {"num", "place"} or {a.kind, b.kind} <= {"clock", "num"}
    ):
        return True
    if b.says("role", "quarantine", "nursery", "grow-out") and a.kind in ("num", "place"):
        return True
    return any(a.says(sort) and b.says(sort) for sort in ("food", "item"))


def _both_sexes(before: Tag, after: list[Tag]) -> bool:
    """Whether what follows "3 males" counts the other sex: "7 females"."""
    its = before.senses.get("noun", frozenset()) & {"male", "female"}
    return (
        len(its) == 1
        and len(after) == 2
        and after[0].kind == "num"
        and after[1].says("noun", *({"male", "female"} - its))
    )


def _left_behind(tag: Tag) -> bool:
    return tag.says("cue", "left") and tag.word.startswith(("stay", "left", "remain"))


def _parts(sentence: Sentence, number: int) -> Iterator[Part]:
    tags = sentence.tags
    current: list[Tag] = []
    joiner = ""
    n = 0
    while n < len(tags):
        tag = tags[n]
        cut = False
        if (
            tag.word == "but"
            and any(t.says("group") for t in current)
            and n + 1 < len(tags)
            and tags[n + 1].kind in ("place", "num", "line", "batch")
        ):
            current.append(Tag("lex", "but", tag.at, tag.upto, "but", {"except": frozenset({"except"})}))
            n += 1
            continue
        if (
            tag.kind == "punct"
            and tag.word == "-"
            and tag.note not in ("minus", "inside")
            and current
            and (current[-1].kind in ("place", "batch") or current[-1].says("noun", "mop", "eggs"))
            and n + 1 < len(tags)
            and tags[n + 1].kind == "num"
        ):
            current.append(Tag("sep", ",", tag.at, tag.upto, ":"))  # "t7 mop - 9"
            n += 1
            continue
        if (
            tag.kind == "punct"
            and tag.note != "inside"
            and tag.word in (",", ":", "(", ")", "-", "+", "/", '"', "*", "=", ">")
        ):
            cut = True
        elif tag.kind == "word" and tag.word in _SPLIT_WORDS:
            cut = not (
                tag.word == "and"
                and current
                and current[-1].kind in ("lex", "num", "vol", "amount")
                and n + 1 < len(tags)
                and tags[n + 1].kind == "frac"
            )
        elif tag.kind == "word" and tag.word in ("who", "which", "where") and current:
            cut = True
        elif current and (len(current) > 1 or current[0].kind == "amount") and _opens(tag, tags, n):
            yield Part(current, joiner, number, sentence.line)
            current, joiner = [tag], ""
            n += 1
            continue
        if cut:
            before = next((t for t in reversed(current) if t.kind not in ("punct",)), None)
            m = n + 1
            while m < len(tags) and tags[m].word in (",", "and", "&", "also", "then", "the", "a", "some", "maybe"):
                m += 1
            after = tags[m] if m < len(tags) else None
            listing = (
                before is not None
                and after is not None
                and tag.word in (",", "and", "plus", "+", "/", ":", "=", ">")
                and (_like(before, after) or _both_sexes(before, tags[m : m + 2]))
            )
            if (
                listing
                and after is not None
                and after.kind == "place"
                and len(current) > 1
                and current[-1].kind == "place"
                and current[-2].word in ("to", "into")
                and any(t.kind in ("num", "place") for t in current[:-2])
                and m + 1 < len(tags)
                and tags[m + 1].kind == "num"
            ):
                listing = False  # "A1 12 > B, A2 7 > C"
            if (
                listing
                and tag.word == "and"
                and after is not None
                and after.kind in ("num", "place")
                and m + 1 < len(tags)
                and tags[m + 1].word in ("got", "had", "gets")
                and any(t.senses.get("cue") or t.says("food") for t in current)
            ):
                listing = False  # "powder for tub E and eleven got microworms"
            if listing and tag.word == "and" and after is not None and m + 1 < len(tags) and _left_behind(tags[m + 1]):
                listing = False  # "30 went to tank 12 and 30 stayed"
            if listing and tag.word == "," and after is not None and after.kind == "num" and tags[m - 1].word == "the":
                listing = False
            if listing and tag.word == "," and after is not None and after.kind == "num" and m + 1 < len(tags):
                nxt = tags[m + 1]
                listing = not (
                    (nxt.kind in ("word", "line") and nxt.word not in ("and", ",", "in", "each", "to", "for"))
                    or (nxt.says("noun", *COUNTED) and not (before and _both_sexes(before, tags[m : m + 2])))
                    or nxt.says("cue", "dead", "lost", "left", "bad", "bad_weak", "hatch", "eyed")
                    or nxt.word in ("of them", "had", "got", "gave", "laid", "was", "were", "has")
                )
            if (
                tag.word == ":"
                and before is not None
                and after is not None
                and (after.kind in ("place", "num", "batch", "line") or after.says("group"))
                and (before.says("food") or before.says("substance") or before.says("item"))
            ) or (
                tag.word == ":"
                and before is not None
                and after is not None
                and before.says("quantity")
                and after.kind == "len"
            ):
                listing = True  # "flake: 1, 2 and 3"
            if (
                tag.word == ":"
                and before is not None
                and after is not None
                and before.kind in ("place", "batch")
                and after.kind == "deg"
            ):
                listing = True  # "tank 1: 76F"
            if (
                tag.word in (":", "=")
                and before is not None
                and after is not None
                and before.kind == "num"
                and after.kind != "num"
            ):
                listing = False
            if listing or (tag.word in ("-", "/", "=", ">") and not _spaced(tag)):
                current.append(Tag("sep", ",", tag.at, tag.upto, tag.word))
                n += 1
                continue
            if current:
                yield Part(current, joiner, number, sentence.line)
                current = []
                joiner = tag.word
            elif joiner in ("", ",") or tag.word != ",":
                joiner = tag.word
            if tag.word in ("who", "which", "where"):
                current = [tag]
            n += 1
            continue
        current.append(tag)
        n += 1
    if current:
        yield Part(current, joiner, number, sentence.line)


_OPENERS = frozenset(
    ["i", "i'll", "i'm", "i've", "i'd", "we", "we've", "we'll", "they", "they're", "they've", "she", "he", "he's",
     "she's", "she'd", "it's", "there's"]
)  # fmt: skip


_HANGS_ON = frozenset(
    ["which", "that", "what", "when", "if", "because", "how", "where", "who", "as", "since", "than", "while",
     "after", "before", "until", "like", "say", "says", "said", "think", "hope", "know", "and", "but", "so",
     "guess", "reckon", "till"]
)  # fmt: skip


# Words before which "what is", "how many" hang on what was said.
_ASKS_WITHIN = frozenset(
    ["that's", "is", "see", "on", "out", "remember", "tell", "about", "at", "not", "or", "sure", "of"]
)
# A helping verb before its subject, run on without a comma: "… in eleven do i need to change it".
_ANYONE = frozenset(["i", "we", "they", "it", "you", "anyone", "anybody"])
_HELPING_TO_ASK = {
    **dict.fromkeys(("do", "should", "can", "shall", "must", "could", "does", "did", "will"), _ANYONE),
    "is": frozenset(["there", "it", "this"]),
    "are": frozenset(["they", "those", "there"]),
    "have": frozenset(["we", "you"]),
}


def _subject(tag: Tag) -> bool:
    """Whether a word before a helping verb is what it is said of: "eggs are they", "so do i"."""
    return tag.word in ("so", "neither", "nor", "as", "than", "all", "both", "what", "how", "when", "where", "which")


_HELPING = frozenset(["i", "we", "i've", "we've", "had", "have", "has", "was", "were", "been", "got", "just", "and"])


def _opens(tag: Tag, tags: list[Tag], n: int) -> bool:
    """Whether a new clause opens without a comma, as dictation leaves it: a subject, or "38 left"."""
    before = tags[n - 1]
    if opens_talk(tags, n):
        return True
    if tag.says("cue", "wet") and n > 2 and n + 1 < len(tags) and tags[n + 1].word == "it":
        return True  # "bagged it tank six wet it in twelve weeks"
    if tag.word in _OPENERS and tag.kind in ("word", "lex"):
        return (
            before.word not in _HANGS_ON
            and before.word
            not in (
                "do",
                "did",
                "does",
                "should",
                "can",
                "could",
                "will",
                "would",
                "shall",
                "must",
                "have",
                "am",
                "was",
                "were",
                "are",
            )
            and not before.says("guard")
            and before.word not in ("here", "morning", "one", "last", "time", "way", "thing", "only")
        )
    if (
        tag.word in ("when", "what", "how", "which", "where", "who")
        and n + 1 < len(tags)
        and tags[n + 1].word
        in ("was", "is", "did", "do", "does", "should", "many", "much", "long", "are", "will", "would", "can", "often")
        and before.word not in _HANGS_ON
        and n >= 4
    ):
        return before.kind != "word" or before.word not in _ASKS_WITHIN
    if tag.word in _HELPING_TO_ASK and n >= 4 and n + 2 < len(tags) and tags[n + 1].word in _HELPING_TO_ASK[tag.word]:
        return before.word not in _HANGS_ON and before.word not in _ASKS_WITHIN and not _subject(before)
    if (
        tag.word in ("is", "isn't")
        and n + 2 < len(tags)
        and tags[n + 1].word in ("that", "this", "it")
        and tags[n + 2].word
        in ("bad", "ok", "okay", "normal", "too", "safe", "enough", "dangerous", "high", "low", "good", "fine", "right")
    ):
        return True
    if (
        n > 2
        and (
            tag.word in ("put them in", "put those in", "put it in", "popped them in", "popped them into")
            or (tag.says("cue", "move", "put") and n + 1 < len(tags) and tags[n + 1].word in ("them", "those"))
        )
        and any(t.kind == "num" for t in tags[:n])
        and before.word not in ("i", "we", "and", "then", "to", "he", "she", "they", "just", "have", "i've", "also")
        and before.kind not in ("person", "punct")
    ):
        return True
    if (
        tag.kind == "place"
        and before.kind in ("amount", "num", "pct", "frac", "vol")
        and n + 2 < len(tags)
        and (
            tags[n + 1].word in ("got", "gets") or (tags[n + 1].word in ("just", "only") and tags[n + 2].word == "got")
        )
    ):
        return True  # "… and three drops tub D just got the water"
    if tag.kind == "amount" and before.kind == "clock" and n >= 2:
        return True  # "A B water 0645 4 drops in A"
    if (
        tag.word in ("fed", "pulled", "changed", "topped off", "moved")
        and before.word not in _HELPING
        and any(t.says("cue", "done", "wc") for t in tags[:n])
    ):
        return True
    if (
        tag.kind == "num"
        and n + 1 < len(tags)
        and tags[n + 1].says("cue", "bad", "bad_weak", "dead", "eyed", "hatch")
        and tags[n + 1].word not in ("clear", "hatch")
    ):
        return (
            any(t.kind == "num" and tags[i + 1].says("noun", *COUNTED) for i, t in enumerate(tags[:n]))
            and before.kind not in ("num", "place", "sep")
            and before.word not in ("in", "on", "at", "about", "say", "maybe", "with", "of")
        )
    if (
        tag.kind == "num"
        and n + 1 < len(tags)
        and tags[n + 1].says("cue", "left")
        and tags[n + 1].word not in ("present",)
    ):
        return (
            any(t.kind == "num" for t in tags[:n])
            and before.kind not in ("num", "place", "punct", "sep")
            and before.word not in ("in", "on", "at", "is", "are", "about", "say", "maybe", "with")
        )
    return False


def _spaced(tag: Tag) -> bool:
    return tag.word == "-"


def clauses_of(tags: list[Tag]) -> list[list[Tag]]:
    """The clauses of a sentence, as they stand."""
    return [part.tags for part in _parts(Sentence([], tags, 0, ""), 0)]
