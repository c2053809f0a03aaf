""" "wc 50", "3 changes": what a number without its sign says of a water change, where it is no place."""

from __future__ import annotations

from bot.language.clauses.group import Group
from bot.language.tags import Tag

# The shares of a tank's water that are changed; other numbers say something else. Common practice, no source.
_SHARES = frozenset((10, 15, 20, 25, 30, 33, 40, 50, 60, 70, 75, 80, 90))


def read_bare_numbers(group: Group) -> None:
    """Say of each bare number whether it is a share of the water, a volume, how often, or water put back."""
    tags = group.tags
    several = len([t for t in tags if t.kind == "num" and not t.claimed]) > 1
    for n, tag in enumerate(tags):
        if tag.kind != "num":
            continue
        if _put_back(tags, n):
            tag.claimed = "back"
        elif _says_how_often(tags, n):
            tag.claimed = "times"
        elif _ends_a_list_of_tanks(group, n):
            tag.kind = "pct"
        elif (volume := _volume_before(tags, n)) is not None:
            tag.kind, tag.value, tag.unit = "vol", tag.value * volume.value / float(volume.word), volume.unit
        elif _another_share(group, n) or _share_of_the_place_before(tags, n) or _follows_the_cue(group, n, several):
            tag.kind = "pct"


def _near(tags: list[Tag], n: int) -> Tag | None:
    return tags[n] if 0 <= n < len(tags) else None


def _put_back(tags: list[Tag], n: int) -> bool:
    """ "Took 3 gallons out and put 3 back"."""
    after = _near(tags, n + 1)
    return after is not None and after.word == "back" and any(t.kind in ("vol", "pct", "frac") for t in tags[:n])


def _says_how_often(tags: list[Tag], n: int) -> bool:
    after = _near(tags, n + 1)
    return after is not None and after.word in ("changes", "wcs", "water changes", "times") and n <= 1


def _ends_a_list_of_tanks(group: Group, n: int) -> bool:
    """ "wc 7 30": the last number is the share, where no tank has it."""
    tags, tag = group.tags, group.tags[n]
    return (
        all(t.word in ("each", "all", "everywhere") for t in tags[n + 1 :])
        and n > 1
        and tag.value in _SHARES - {10}
        and not group.place_id(tag)
        and not group.kind("pct", "frac", "vol")
        and any(t.says("cue", "wc") for t in tags[:2])
        and tags[n - 1].kind in ("num", "place")
        and tag.low is None
    )


def _volume_before(tags: list[Tag], n: int) -> Tag | None:
    """The volume whose unit a number shares: "5 gal on 14, 3 on 13"."""
    tag, after = tags[n], _near(tags, n + 1)
    said = next((t for t in reversed(tags[:n]) if t.kind == "vol" and t.value and t.low is None), None)
    shares = (
        said is not None
        and after is not None
        and after.word in ("on", "in", "out", "from", "for")
        and n + 2 < len(tags)
        and tag.low is None
        and not any(t.kind == "pct" for t in tags)
        and said.word.replace(".", "").isdigit()
        and float(said.word)
    )
    return said if shares else None


def _another_share(group: Group, n: int) -> bool:
    """ "Thirty percent on 14 and twenty on 13"."""
    tags, tag, after = group.tags, group.tags[n], _near(group.tags, n + 1)
    return (
        after is not None
        and after.word in ("on", "in", "for")
        and any(t.kind == "pct" for t in tags[:n])
        and tag.value in _SHARES
        and (tag.note == "spelled" or not group.place_id(tag))
        and n > 0
        and tags[n - 1].word in ("and", ",", "then")
        and tag.low is None
    )


def _share_of_the_place_before(tags: list[Tag], n: int) -> bool:
    """ "E 50 %, F 50"."""
    return (
        n > 0
        and tags[n - 1].kind == "place"
        and any(t.kind == "pct" for t in tags[:n])
        and tags[n].value in _SHARES
        and tags[n].low is None
    )


def _follows_the_cue(group: Group, n: int, several: bool) -> bool:
    """ "wc 50", where no tank is called so or the tank is said besides."""
    tag = group.tags[n]
    return (
        n > 0
        and group.tags[n - 1].says("cue", "wc")
        and tag.value in _SHARES
        and (bool(group.kind("place")) or several or not group.place_id(tag))
        and (not group.place_id(tag) or bool(group.kind("place")))
    )
