"""How closely bred the batches of the record are, by the groups their parents stood in."""

from __future__ import annotations

import datetime as dt

from bot import sentences as say
from bot.answers.asking import Answer, Sum, because
from shared.kin.group_kin import Breeders, Parentage, expected_inbreeding, expected_kinship
from shared.ledger.standing import Batch, Holding, Standing
from shared.quantities import Figure

MOST_LINES = 3
_COUNT = "Say it with the fish that bred, like “how inbred is {name} with 1 male and 3 females”."
_NEXT = "For the next generation name the fish that breed, like “how inbred is {name} with 1 male and 3 females”."


def of_batch(s: Sum, name: str) -> Answer:
    """The expected inbreeding of a batch, that of its young, and whose parents it is by."""
    batch = s.standing.batches[name]
    if not batch.parent_groups:
        return Answer(
            f"{name} ({batch.line}): its parents are not on record, so it is taken as founders: unrelated, 0 %.",
            why=("Founders are counted as unrelated and not inbred; bought fish are often neither.",),
        )
    parentage = _parentage(s, [name])
    if said := _said(s):
        parentage = {**parentage, name: _shared_out(batch, said)}
    own, young = expected_inbreeding(parentage, name), expected_kinship(parentage, name)
    text = f"{name} ({batch.line}): expected inbreeding {_percent(own)}, its young among themselves {_percent(young)}."
    text += f"\nBy groups: {_parents(s, parentage, name)}."
    if own.low is not None or young.low is not None:
        text += f" {_COUNT.format(name=name)}"
    why = (*because(young), *(f"{g}: {_parents(s, parentage, g)}." for g in parentage if g != name))
    return Answer(text, why=why)


def of_line(s: Sum, line: str, breeders: Answer | None = None) -> Answer:
    """The expected inbreeding of what lives of a line, batch by batch, founders told apart; how many breed by count."""
    standing = s.standing
    alive = list(dict.fromkeys(h.group for h in standing.holdings.values() if h.line == line))
    bred = [g for g in alive if g in standing.batches and standing.batches[g].parent_groups]
    founders = [g for g in alive if g not in bred]
    if not alive:
        return Answer(f"Nothing of {line} is on record.")
    parentage = _parentage(s, bred)
    lines, why = [], list[str]()
    for name in bred[-MOST_LINES:]:
        found = expected_inbreeding(parentage, name)
        young = expected_kinship(parentage, name)
        lines.append(f"{name}: {_percent(found)}, its young {_percent(young)}; {_parents(s, parentage, name)}.")
        why += because(young)
    if founders:
        whose = ["the breeders" if g == line else g for g in founders]
        lines.append(
            f"{line}: {say.listed(whose)} {'is' if len(whose) == 1 and whose[0] != 'the breeders' else 'are'} taken as "
            "founders, unrelated, 0 %: no parents on record."
        )
    if breeders is not None:
        lines.append(breeders.text.split("\n", maxsplit=1)[0])
        why += breeders.why
    elif not bred:
        lines.append(_NEXT.format(name=line))
        why.append("Founders are counted as unrelated and not inbred; bought fish are often neither.")
    return Answer("\n".join(lines), why=tuple(dict.fromkeys(why)))


def _percent(found: Figure) -> str:
    if found.low is None or found.high is None:
        return f"{100 * found.value:.1f} %".replace(".0 %", " %")
    if found.high - found.low < 0.005:
        return f"{100 * found.high:.0f} %"
    return f"{100 * found.low:.0f}–{100 * found.high:.0f} %"


def _parents(s: Sum, parentage: Parentage, name: str) -> str:
    """`1 male and 3 females of gardneri in tank 3, founders`."""
    batch = s.standing.batches.get(name)
    where = f" in {say.places(batch.parents)}" if batch and batch.parents else ""
    told = []
    for b in parentage.get(name, ()):
        fish = "not counted"
        if b.males is not None and b.females is not None:
            fish = f"{say.count(round(b.males), 'male')}, {say.count(round(b.females), 'female')}"
        told.append(f"{b.group}{'' if b.group in parentage else ', founders'} ({fish})")
    return f"parents {say.listed(told)}{where}"


def _said(s: Sum) -> tuple[float, float] | None:
    males, females = s.number("males"), s.number("females")
    if males is None and females is None:
        return None
    if not males or not females or males < 1 or females < 1:
        raise ValueError("it takes at least one male and one female")
    return males, females


def _shared_out(batch: Batch, said: tuple[float, float]) -> tuple[Breeders, ...]:
    """The breeders the question names, over the groups that stood there."""
    groups = batch.parent_groups
    return tuple(Breeders(g, said[0] / len(groups), said[1] / len(groups)) for g in groups)


def _parentage(s: Sum, names: list[str]) -> dict[str, tuple[Breeders, ...]]:
    """The parents of these batches and of all before them, as far as the record knows them."""
    found: dict[str, tuple[Breeders, ...]] = {}
    ahead = list(names)
    while ahead:
        batch = s.standing.batches.get(ahead.pop())
        if batch is None or batch.name in found or not batch.parent_groups:
            continue
        held = _there_then(s, batch)
        found[batch.name] = tuple(_breeders(g, held) for g in batch.parent_groups)
        ahead += batch.parent_groups
    return found


def _there_then(s: Sum, batch: Batch) -> list[Holding]:
    """Who stood in the parents' places while the eggs were laid: as they stand now, or as they stood then."""
    laid = batch.laid_to or batch.opened

    def held(standing: Standing) -> list[Holding]:
        its = [h for place in batch.parents for h in standing.fish_at(place)]
        return [h for h in its if h.group in batch.parent_groups and h.since <= laid]

    now = held(s.standing)
    if {h.group for h in now} == set(batch.parent_groups) and s.ask.now - laid < dt.timedelta(days=60):
        return now
    return held(s.ask.book.standing(at=laid)) or now


def _breeders(group: str, held: list[Holding]) -> Breeders:
    its = [h for h in held if h.group == group]
    males, females = sum(h.male for h in its), sum(h.female for h in its)
    known = its and males and females and not any(h.unsexed or not h.counted for h in its)
    return Breeders(group, males if known else None, females if known else None)
