"""Lines as they stand: what they are and where from, and how many of each generation are alive, and where."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from bot import sentences as say
from bot.answers.asking import Asking
from bot.routine.taken import Scene, Taken
from shared.kin.lineage import STRAIN, UNKNOWN, WILD, generation_label
from shared.ledger.standing import Holding, Line, Standing

NOT_SAID = "not said"
MOST_TOLD = 8
_LABEL = r"(?P<label>wild(?:[ -]caught)?|f ?\d{1,2}|aquarium strain)"
_FISH = r"(?:fish|ones|adults|breeders|juveniles|fry|eggs)"
_ASKED = (
    re.compile(
        r"^(?:which|what|how many(?: fish)? of (?:each|which|what))?(?: the)? ?generations?"
        rf"(?: of {_FISH})?(?: (?:do (?:i|we) (?:have|keep)|(?:are|is|stand|live)))?(?: there)?"
        r"(?: (?:(?:are |is |stand |live )?(?:in|of|for) )?(?P<of>.+))?$"
    ),
    re.compile(
        rf"^how many {_LABEL}(?: (?P<line>[\w -]+?))??(?: {_FISH})?(?: (?:do (?:i|we) (?:have|keep)|are there))?"
        r"(?: (?:are |stand )?(?:in|of) (?P<of>.+))?$"
    ),
)
_LINE = re.compile(
    r"^(?:show(?: me)?|tell me about|how (?:is|are)|what about) (?:the |my |our )?(?P<line>.+)$"
    r"|^where (?:are|is|do) (?:the |my |our )?(?P<whence>.+?) (?:come )?from$"
    r"|^(?:what|which) (?:population|collection code|location|code|line) (?:is|are|do|does|of) "
    r"(?:the |my |our )?(?P<whose>.+?)(?: (?:come )?from)?$"
    r"|^(?:what(?:'s| is) the )?(?:population|collection code|code|location) of (?:the |my |our )?(?P<whose2>.+)$"
)
_LINES = re.compile(
    r"^(?:(?:show|list)(?: me)?|what(?: are)?|which) ?(?:all )?(?:the |my |our )?"
    r"(?:lines|populations|strains)(?: (?:do (?:i|we) (?:keep|have)|are (?:here|kept)))?$"
)


def line_question(text: str, scene: Scene) -> Taken | None:
    """The answer to a question about generations, populations or lines; None when it is none."""
    if bare := next((name for name in scene.standing.lines if name.casefold() == text), None):
        return Taken(answer=line_text(scene.standing, bare))
    if _LINES.match(text):
        return Taken(answer="\n".join(line_head(line) for line in scene.standing.lines.values()) or "No lines yet.")
    for pattern in _ASKED:
        if hit := pattern.match(text):
            return _counted(hit, scene)
    hit = _LINE.match(text)
    said = next(filter(None, hit.groups()), None) if hit else None
    line = _line(said, scene) if said else None
    if line is None or hit is None:
        return None
    if hit["line"]:
        return Taken(answer=line_text(scene.standing, line))
    kept = scene.standing.lines[line]
    return Taken(answer="\n".join([line_head(kept), *_population_said(kept)]))


def _line(words: str, scene: Scene) -> str | None:
    named = next((name for name in scene.standing.lines if name.casefold() == words), None)
    where = scene.words.where(words)
    return named or (where.line if where and not where.places and not where.batch else None)


def _counted(hit: re.Match[str], scene: Scene) -> Taken | None:
    """How many of each generation, or of one, in a place, of a line, or in all."""
    said = hit.groupdict()
    line = _line(said["line"], scene) if said.get("line") else None
    if said.get("line") and line is None:
        return None
    held = [h for h in scene.standing.holdings.values() if line in (None, h.line)]
    if said["of"]:
        where = scene.words.where(re.sub(r"^(?:the |my |our )", "", said["of"]))
        of = _line(re.sub(r"^(?:the |my |our )", "", said["of"]), scene)
        if of:
            held = [h for h in held if h.line == of]
        elif where and where.places and not where.batch:
            held = [h for h in held if h.place in where.places]
        else:
            return None
    wanted = generation_label(re.sub(r"[ -]caught", "", said["label"])) if said.get("label") else None
    by = by_generation(scene.standing, held)
    if wanted and wanted not in by:
        return Taken(answer=f"None on record as {wanted}{'' if by else ', nor any others'}.")
    lines = [f"{say.first_up(label)}: {_some(by[label])}." for label in by if wanted in (None, label)]
    return Taken(answer="\n".join(lines) or "Nothing of that is on record.")


def _some(told: Sequence[str]) -> str:
    more = f"; and {len(told) - MOST_TOLD} more" if len(told) > MOST_TOLD else ""
    return "; ".join(told[:MOST_TOLD]) + more


def by_generation(standing: Standing, held: Sequence[Holding]) -> dict[str, list[str]]:
    """What stands of each generation, wild first; fish nobody kept apart stand under both labels together."""
    found: dict[str, list[str]] = {}
    several = len({h.line for h in held}) > 1
    for holding in held:
        labels = [generation_label(label) or NOT_SAID for label in standing.generations_of(holding)]
        labels = sorted({NOT_SAID if label == UNKNOWN else label for label in labels}, key=_order)
        found.setdefault(" and ".join(labels), []).append(_told(holding, several))
    return {label: found[label] for label in sorted(found, key=_order)}


def _order(label: str) -> tuple[int, int, str]:
    number = re.match(r"F(\d+)", label)
    place = {WILD: 0, STRAIN: 2, NOT_SAID: 3}.get(label, 1 if number else 0)
    return place, int(number[1]) if number else 0, label


def _told(h: Holding, line_named: bool) -> str:
    about = "about " if h.estimated and h.counted else ""
    line = f"{h.line} " if line_named else ""
    where = f" in {h.place}" if h.place else " in hand"
    if h.group == h.line:
        return f"{about}{h.count} {line}{h.stage}{where}" if h.counted else f"{line}{h.stage}{where}, not counted"
    fish = say.fish(h.number, h.stage) if h.counted else f"{h.stage}, not counted,"
    return f"{about}{fish} of {line}{h.group}{where}"


def line_head(line: Line) -> str:
    """`gardneri (Fundulopanchax gardneri), Makurdi, F2; eggs in water.`"""
    species = f" ({line.species})" if line.species else ""
    traits = [t for t in (line.population, line.generation) if t]
    eggs = f"; eggs in {line.eggs}" if line.eggs else ""
    return f"{line.name}{species}{''.join(f', {t}' for t in traits)}{eggs}."


def line_text(standing: Standing, name: str) -> str:
    """How a line stands: what it is, where it is from, and what is alive of each generation."""
    line = standing.lines[name]
    held = [h for h in standing.holdings.values() if h.line == name]
    return "\n".join([line_head(line), *_population_said(line), *_generation_lines(standing, held)])


def _population_said(line: Line) -> list[str]:
    return [] if line.population else ["Population or collection code not said."]


def _generation_lines(standing: Standing, held: Sequence[Holding]) -> Iterator[str]:
    if not held:
        yield "Nothing of it is here."
    by = by_generation(standing, held)
    for label, told in by.items():
        name = f"Generation {label}" if label == NOT_SAID else say.first_up(label)
        yield f"{name}: {_some(told)}."


def generations(ask: Asking) -> str | None:
    """The generations of a line's fish and batches."""
    if ask.query.batch or ask.query.line not in ask.standing.lines:
        return None
    held = [h for h in ask.standing.holdings.values() if h.line == ask.query.line]
    told = "\n".join(_generation_lines(ask.standing, held))
    return f"{ask.query.line}:\n{told}"
