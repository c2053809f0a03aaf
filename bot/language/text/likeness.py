"""Which line a stretch of words names when it is none of its names: cut short, misspelt, or misheard by a phone."""

from __future__ import annotations

from bot.language.text.apart import ratio
from bot.language.text.everyday import is_everyday
from bot.language.text.names import SOUND_LETTERS, Names
from bot.language.text.sounds import alike, sound


def line_like(names: Names, words: tuple[str, ...]) -> tuple[str, ...]:
    memo = names._memo
    if words in memo:
        return memo[words]
    found = names.line_words.get(words, ())
    if not found:
        found = _near_line(names, words)
    memo[words] = found
    return found


def _by_voice(names: Names, words: tuple[str, ...], heard: str, need: float) -> list[tuple[float, tuple[str, ...]]]:
    """The lines whose own names several words sound like when spoken ("me docker"), with how much."""
    said = " ".join(words)
    out: list[tuple[float, tuple[str, ...]]] = []
    for name, its, line in names.spoken_names:
        if its[:1] == heard[:1] and ratio(its, heard) >= 60:
            score = alike(said, name)
            if score >= need:
                out.append((score, (line,)))
    return out


def _near_line(names: Names, words: tuple[str, ...]) -> tuple[str, ...]:
    joined = "".join(words)
    if len(joined) < 4 or not joined.isalpha():
        return ()
    if len(words) > 1 and all(w in SOUND_LETTERS or w in ("and", "n") for w in words):
        return ()  # "bee and sea": two tubs
    odd = [w for w in words if not is_everyday(w)]
    if len(words) == 1:
        if not odd:
            return ()
        cut = {m for full, meant in names.line_prefix.items() if full.startswith(joined) for m in (meant,)}
        if cut:
            lines = tuple(dict.fromkeys(x for meant in cut for x in meant))
            if len(lines) == 1:
                return lines
    heard = sound(joined)
    if len(heard) < (2 if len(words) == 1 and len(joined) >= 4 else 3):
        return ()
    scored: list[tuple[float, tuple[str, ...]]] = []
    for its_sound, letters, meant in names.sounds_of_about(len(heard)):
        if letters[0] in "aeiou" and joined[0] not in "aeiouh":
            continue
        by_letters = ratio(joined, letters) / 100
        if by_letters < 0.5:
            continue
        by_sound = ratio(heard, its_sound) / 100
        need = 0.99 if not odd or len(its_sound) < 4 else 0.85
        if (by_sound >= need and by_letters >= (0.5 if len(its_sound) > 3 else 0.6)) or (by_letters >= 0.82 and odd):
            scored.append(((by_sound + by_letters) / 2, meant))
    if not scored and len(words) > 1 and len(joined) >= 6 and all(len(w) > 1 for w in words[:-1]):
        scored = _by_voice(names, words, heard, 0.9 if odd else 0.93)
        heard = joined
    if not scored or (not odd and len(heard) < 4):
        return ()
    scored.sort(key=lambda pair: -pair[0])
    best = scored[0]
    rivals = {x for score, meant in scored if score > best[0] - 0.06 for x in meant}
    if set(best[1]) >= rivals:
        return best[1]
    return tuple(sorted(rivals)) if len(rivals) <= 2 else ()
