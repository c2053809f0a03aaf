"""Cuts a sentence into clauses: at commas and joining words that do not list, and where a clause opens by itself."""

from __future__ import annotations

from collections.abc import Iterator

from bot.language.clauses.openings import opens
from bot.language.scene import COUNTED, Part, Sentence
from bot.language.tags import Tag

_SPLIT_WORDS = frozenset(
    {"and", "then", "but", "so", "while", "because", "although", "though", "plus", "also", "whereas", "after",
     "before", "as"}
)  # fmt: skip


_SAMEABLE = frozenset(
    {"num", "place", "line", "clock", "pct", "vol", "size", "batch", "person", "culture", "deg", "frac"}
)

_MARKS = frozenset([",", ":", "(", ")", "-", "+", "/", '"', "*", "=", ">"])
_WHO = ("who", "which", "where")
_BETWEEN = (",", "and", "&", "also", "then", "the", "a", "some", "maybe")


def parts_of(sentence: Sentence, number: int) -> Iterator[Part]:
    """The clauses of a sentence, each with the word or mark that joins it to the one before."""
    tags, current, joiner = sentence.tags, list[Tag](), ""
    for n, tag in enumerate(tags):
        if (held := _held_together(tags, n, current)) is not None:
            current.append(held)
        elif _cuts(tags, n, current):
            if _lists(tags, n, current) or (tag.word in ("-", "/", "=", ">") and not _spaced(tag)):
                current.append(Tag("sep", ",", tag.at, tag.upto, tag.word))
                continue
            if current:
                yield Part(current, joiner, number, sentence.line)
                current, joiner = [], tag.word
            elif joiner in ("", ",") or tag.word != ",":
                joiner = tag.word
            if tag.word in _WHO:
                current = [tag]
        elif not _splits(tag) and current and (len(current) > 1 or current[0].kind == "amount") and opens(tag, tags, n):
            yield Part(current, joiner, number, sentence.line)
            current, joiner = [tag], ""
        else:
            current.append(tag)
    if current:
        yield Part(current, joiner, number, sentence.line)


def _at(tags: list[Tag], n: int) -> Tag | None:
    return tags[n] if n < len(tags) else None


def _held_together(tags: list[Tag], n: int, current: list[Tag]) -> Tag | None:
    """What a word or dash stands for that keeps a clause whole: "all fry but 11", "t7 mop - 9"."""
    tag, after = tags[n], _at(tags, n + 1)
    if after is None:
        return None
    if tag.word == "but" and any(t.says("group") for t in current) and after.kind in ("place", "num", "line", "batch"):
        return Tag("lex", "but", tag.at, tag.upto, "but", {"except": frozenset({"except"})})
    dash = tag.kind == "punct" and tag.word == "-" and tag.note not in ("minus", "inside")
    if not dash or not current or after.kind != "num":
        return None
    spot = current[-1].kind in ("place", "batch") or current[-1].says("noun", "mop", "eggs")
    return Tag("sep", ",", tag.at, tag.upto, ":") if spot else None


def _mark(tag: Tag) -> bool:
    return tag.kind == "punct" and tag.note != "inside" and tag.word in _MARKS


def _splits(tag: Tag) -> bool:
    """Whether a tag is of those that may end a clause, whether it does so here or not."""
    return _mark(tag) or (tag.kind == "word" and tag.word in _SPLIT_WORDS)


def _cuts(tags: list[Tag], n: int, current: list[Tag]) -> bool:
    tag, after = tags[n], _at(tags, n + 1)
    if _mark(tag):
        return True
    if tag.kind != "word":
        return False
    if tag.word in _SPLIT_WORDS:  # "2 and a half"
        fraction = current and current[-1].kind in ("lex", "num", "vol", "amount") and after and after.kind == "frac"
        return not (tag.word == "and" and fraction)
    return tag.word in _WHO and bool(current)


def _lists(tags: list[Tag], n: int, current: list[Tag]) -> bool:
    """Whether a comma, colon or "and" only lists what stands on both sides of it."""
    tag = tags[n]
    before = next((t for t in reversed(current) if t.kind not in ("punct",)), None)
    m = n + 1
    while m < len(tags) and tags[m].word in _BETWEEN:
        m += 1
    after = _at(tags, m)
    if before is None or after is None:
        return False
    if tag.word in (":", "=") and before.kind == "num" and after.kind != "num":
        return False
    if tag.word == ":" and _heads_its_list(before, after):
        return True
    if tag.word not in (",", "and", "plus", "+", "/", ":", "=", ">"):
        return False
    if not (_like(before, after) or _both_sexes(before, tags[m : m + 2])):
        return False
    return not _begins_anew(tags, n, m, current, before)


def _heads_its_list(before: Tag, after: Tag) -> bool:
    """ "Flake: 1, 2 and 3", "tank 1: 76F"."""
    what = before.says("food") or before.says("substance") or before.says("item")
    if what and (after.kind in ("place", "num", "batch", "line") or after.says("group")):
        return True
    return (before.says("quantity") and after.kind == "len") or (
        before.kind in ("place", "batch") and after.kind == "deg"
    )


def _begins_anew(tags: list[Tag], n: int, m: int, current: list[Tag], before: Tag) -> bool:
    """Whether the like of what was just said begins a clause of its own all the same."""
    tag, after, follows = tags[n], tags[m], _at(tags, m + 1)
    if follows is not None and after.kind == "place" and follows.kind == "num" and _went_to_a_place(current):
        return True  # "A1 12 > B, A2 7 > C"
    if tag.word == "and" and follows is not None:
        gets = after.kind in ("num", "place") and follows.word in ("got", "had", "gets")
        if gets and any(t.senses.get("cue") or t.says("food") for t in current):
            return True  # "powder for tub E and eleven got microworms"
        return _left_behind(follows)  # "30 went to tank 12 and 30 stayed"
    if tag.word != "," or after.kind != "num":
        return False
    return tags[m - 1].word == "the" or (follows is not None and _counts_anew(follows, before, tags[m : m + 2]))


def _went_to_a_place(current: list[Tag]) -> bool:
    return (
        len(current) > 1
        and current[-1].kind == "place"
        and current[-2].word in ("to", "into")
        and any(t.kind in ("num", "place") for t in current[:-2])
    )


def _counts_anew(follows: Tag, before: Tag, pair: list[Tag]) -> bool:
    """Whether what stands after a number makes it a count of its own: "5, 3 dead", "12, 7 eggs"."""
    if follows.kind in ("word", "line") and follows.word not in ("and", ",", "in", "each", "to", "for"):
        return True
    if follows.says("noun", *COUNTED) and not _both_sexes(before, pair):
        return True
    if follows.says("cue", "dead", "lost", "left", "bad", "bad_weak", "hatch", "eyed"):
        return True
    return follows.word in ("of them", "had", "got", "gave", "laid", "was", "were", "has")


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


def _spaced(tag: Tag) -> bool:
    return tag.word == "-"


def clauses_of(tags: list[Tag]) -> list[list[Tag]]:
    """The clauses of a sentence, as they stand."""
    return [part.tags for part in parts_of(Sentence([], tags, 0, ""), 0)]
