"""How long fish are."""

from __future__ import annotations

from bot.language.clauses.group import Group
from bot.language.tags import Tag
from bot.language.telling import Teller


def tell_lengths(group: Group, teller: Teller) -> None:
    batches = group.batches()
    where: dict[str, object] = {}
    if batches:
        where = {"batch": batches[0]}
    else:
        seq = group.sequence("value")
        places = [p for s in seq if s[0] == "P" for p in s[1]]
        if not places:
            found, sort = teller.where(group, "measure")
            places = list(found) if sort == "P" else []
            if sort == "B":
                where = {"batch": found[0]}
        if len(places) == 1:
            where = {"place": places[0]}
    if not where:
        teller.ask_place(group, {"kind": "measure", "quantity": "length"})
        return
    unit = 1.0
    for tag in group.tags:
        if tag.kind == "len":
            unit = {"mm": 1.0, "cm": 10.0, "in": 25.4}[tag.unit]
            if tag.low is not None:  # neither end is what the fish measure, and a length without a value tells nothing
                ends = teller.as_written([tag])
                teller.ask(
                    group,
                    f"{ends}: how long are most, in mm?",
                    "value",
                    {"kind": "measure", **where, "quantity": "length"},
                    firm=True,
                )
                continue
            teller.tell("measure", group, **where, quantity="length", value=round(tag.value, 1))
        elif _a_length(tag, group):
            teller.tell("measure", group, **where, quantity="length", value=round(tag.value * unit, 1))


def _a_length(tag: Tag, group: Group) -> bool:
    """Whether a bare number after a length is another: "15 mm and 18", and not "30 big ones in 12"."""
    n = group._index(tag)
    said = any(t.kind == "len" for t in group.tags[:n])
    before = group.tags[n - 1].word if n else ""
    return (
        said
        and tag.kind == "num"
        and not tag.claimed
        and not group.counts(tag)
        and before not in ("in", "into", "to", "from")
    )
