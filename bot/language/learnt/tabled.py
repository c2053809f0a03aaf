"""Readings told as a table: what is measured named once for rows of values, or as many values as places each time."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

_WHERE = frozenset(["place", "line"])
Run = tuple[str, list[int]]


def tabled(facts: Sequence[int], roles: Sequence[str]) -> list[list[int]]:
    """The facts of each value of a table; none where they are no table."""
    runs = [(sort, list(its)) for sort, its in itertools.groupby(facts, lambda at: _sort_of(roles[at]))]
    if {sort for sort, _ in runs} - {"where", "when", "value", "quantity"}:
        return []
    return _in_columns(runs) or _dealt(runs) or _in_rows(runs)


def _sort_of(role: str) -> str:
    return "where" if role in _WHERE else role


def _in_columns(runs: Sequence[Run]) -> list[list[int]]:
    """Each row with a value of each quantity, named at the head or the foot: "NH3/NO2: 11 0/0, 12 0/5"."""
    columns = [its for sort, its in runs if sort == "quantity"]
    rows = [its for sort, its in runs if sort == "value"]
    rest = [sort for sort, _ in runs if sort in ("quantity", "value")]
    if len(columns) != 1 or len(columns[0]) < 2 or not rows or "quantity" not in (rest[0], rest[-1]):
        return []
    if any(len(row) != len(columns[0]) for row in rows):
        return []
    heads = _heads(runs)
    return [
        sorted([*head, quantity, value])
        for head, row in zip(heads, rows, strict=True)
        for quantity, value in zip(columns[0], row, strict=True)
    ]


def _heads(runs: Sequence[Run]) -> list[list[int]]:
    """Where and when each row is of: what stands before it, else behind the last."""
    heads: list[list[int]] = []
    head: list[int] = []
    for sort, its in runs:
        if sort == "value":
            heads.append(head)
            head = []
        elif sort != "quantity":
            head = [*head, *its]
    return [own or head for own in heads] if head else heads


def _dealt(runs: Sequence[Run]) -> list[list[int]]:
    """Places, then for each quantity a value of each or one of all: "13, 14: nitrate 30, 35, nitrite 0 both"."""
    if len(runs) < 3 or runs[0][0] != "where" or len(runs[0][1]) < 2 or len(runs) % 2 == 0:
        return []
    where = runs[0][1]
    named, said = runs[1::2], runs[2::2]
    if any(sort != "quantity" or len(its) != 1 for sort, its in named) or any(sort != "value" for sort, _ in said):
        return []
    many = {len(its) for _, its in said}
    if not many <= {1, len(where)} or len(where) not in many:
        return []
    groups: list[list[int]] = []
    for (_, quantity), (_, values) in zip(named, said, strict=True):
        if len(values) == 1:
            groups.append([*where, *quantity, *values])
        else:
            groups += [sorted([place, *quantity, value]) for place, value in zip(where, values, strict=True)]
    return groups


def _in_rows(runs: Sequence[Run]) -> list[list[int]]:
    """As many values as places row by row, or as many values of each place: "13, 14: 74 75. 1, 2: 77 78"."""
    head = [at for sort, its in itertools.takewhile(lambda run: run[0] in ("quantity", "when"), runs) for at in its]
    rows = [run for run in runs if not set(run[1]) <= set(head)]
    pairs = list(zip(rows[::2], rows[1::2], strict=False))
    if len(rows) % 2 or len(pairs) < 2 or any((a, b) != ("where", "value") for (a, _), (b, _) in pairs):
        return []
    many = [(len(places), len(values)) for (_, places), (_, values) in pairs]
    if all(places == values for places, values in many) and max(many) > (1, 1):
        return [
            sorted([*head, place, value])
            for (_, places), (_, values) in pairs
            for place, value in zip(places, values, strict=True)
        ]
    if len(set(many)) == 1 and many[0][0] == 1 and many[0][1] > 1:
        return [sorted([*head, *places, value]) for (_, places), (_, values) in pairs for value in values]
    return []
