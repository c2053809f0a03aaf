"""How many parents a line really has and how fast its inbreeding grows, from the breeding group or the question."""

from __future__ import annotations

import re

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because, figure
from bot.sums import descent as descent_sums
from shared.kin.inbreeding import FOUNDERS, Mating, effective_size, inbreeding_after, sequence

_MATINGS: tuple[tuple[Mating, str, str], ...] = (
    ("half sibs", r"\bhalf[- ]?(?:sib|brother|sister)", "one male on his half-sisters"),
    (
        "backcross",
        r"\bback ?cross|\b(?:father|sire).*\bdaughter|\bmother.*\bson\b|\bparent.*\b(?:offspring|young)",
        "young back to one parent",
    ),
    ("selfing", r"\bself(?:ing|ed|s)?\b", "selfing"),
    ("full sibs", r"\b(?:full )?sib(?:s|ling\w*)?\b|\bbrother\w*\b.*\bsister|\bsister\w*\b.*\bbrother", "full sibs"),
)


def _generations(s: Sum) -> int | None:
    value = s.number("generations")
    if value is None:
        return None
    if value != int(value):
        raise ValueError(f"{value:g} is no number of generations")
    return int(value)


def inbreeding(s: Sum) -> Answer:
    """The inbreeding of the young of kin, of a batch or line on record, or of a closed group after generations."""
    for mating, pattern, words in _MATINGS:
        if s.says(pattern):
            return _of_kin(mating, words, _generations(s))
    named = re.search(r"\bb ?(\d+)\b", s.ask.text.casefold())
    if named and (name := f"B{named[1]}") not in s.standing.batches:
        return Answer(f"There is no batch {name} in the record.")
    sexes = s.number("males") is not None or s.number("females") is not None
    if s.ask.query.batch:
        return descent_sums.of_batch(s, s.ask.query.batch)
    if s.ask.query.line and not sexes and _generations(s) is None:
        known = effective(s) if not isinstance(_parents(s), str) else None
        return descent_sums.of_line(s, s.ask.query.line, known)
    return effective(s)


def _of_kin(mating: Mating, words: str, generations: int | None) -> Answer:
    shown = sequence(mating, generations or 3)
    text = f"Young of {words}: inbreeding {100 * shown[0]:.1f} %".replace(".0 %", " %")
    later = [(n, f) for n, f in enumerate(shown, 1) if n > 1 and (generations is None or n == generations)]
    if later:
        text += "; kept up, " + ", ".join(
            f"{100 * f:.1f} % after {n} generations".replace(".0 %", " %") for n, f in later
        )
    why = (
        "Wright's recurrence for the same mating again and again, founders unrelated.",
        "Source: Falconer & Mackay 1996, Introduction to Quantitative Genetics, ch. 5.",
        FOUNDERS,
    )
    return Answer(f"{text}.\nFrom unrelated parents; fertility and vigour often fall from 25 % on.", why=why)


def _parents(s: Sum) -> tuple[int, int, str] | str:
    """Males and females that breed, and where: as said, else as the group is counted; else a question back."""
    males, females = s.number("males"), s.number("females")
    if males is not None or females is not None:
        if males is None or females is None:
            return "And how many of the other sex? Say it like “with 2 males and 6 females”."
        for number in (males, females):
            if number != int(number):
                raise ValueError(f"{number:g} fish cannot breed; give whole numbers")
        return int(males), int(females), ""
    query, standing = s.ask.query, s.standing
    line = query.line or (standing.line_of(query.batch) if query.batch else None)
    held = [h for h in standing.holdings.values() if h.stage == "adults"]
    held = [h for h in held if (h.place == query.place if query.place else h.line == line)]
    if not held:
        what = query.place or line
        where = f" in {what}" if what else ""
        return f"How many males and females breed{where}? Say it like “with 2 males and 6 females”."
    blank = [h for h in held if not h.counted or h.unsexed or not (h.male or h.female)]
    if blank:
        where = say.places(list(dict.fromkeys(h.place for h in blank if h.place)))
        return f"The males and females in {where} are not counted. Say it like “with 2 males and 6 females”."
    where = say.places(list(dict.fromkeys(h.place for h in held if h.place)))
    return sum(h.male for h in held), sum(h.female for h in held), f" in {where}"


def effective(s: Sum) -> Answer:
    """The effective number of parents, what inbreeding it adds in a generation, and after some."""
    found = _parents(s)
    if isinstance(found, str):
        return Answer(found)
    males, females, where = found
    size = effective_size(males, females)
    gain = 100 / (2 * size.value)
    text = (
        f"{say.count(males, 'male')} and {say.count(females, 'female')}{where} count as {figure(size.value)} parents; "
        f"inbreeding grows {gain:.1f} % a generation."
    )
    generations = _generations(s)
    kept = s.standing.lines.get(s.ask.query.line or "")
    label = re.fullmatch(r"[Ff] ?(\d+)", kept.generation or "") if kept else None
    if generations is None and label:
        generations = int(label[1])
        text += f" The line is called F{generations}:"
    after = inbreeding_after(generations if generations is not None else 5, size.value)
    number = generations if generations is not None else 5
    text += f" {100 * after.value:.0f} % after {say.count(number, 'generation')} closed at that size."
    caution = size.cautions[-1]
    return Answer(f"{text}\n{caution}", why=(*because(size, said=(caution,)), *because(after)))
