"""Cuts a note into sentences, and sentences into clauses."""

from __future__ import annotations

import re
from dataclasses import replace

from bot.language.clauses.parting import parts_of
from bot.language.kept_out.others_news import of_others, wants_no_record
from bot.language.kept_out.ours import of_the_room
from bot.language.kept_out.plans_and_wishes import carry_on, guard
from bot.language.kept_out.small_talk import set_apart
from bot.language.scene import Part, Sentence
from bot.language.tags import Tag
from bot.language.text.names import Names


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
        sentence.parts = list(parts_of(sentence, number))
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
