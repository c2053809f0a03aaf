"""How things are said: numbers, times, places and the cautions, so that every reply speaks alike."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Container, Iterable, Sequence
from zoneinfo import ZoneInfo

PEROXIDE = "3 % peroxide only, drop by drop; keep it off skin and eyes, and follow the bottle's label."
CAUTIONS = {
    "peroxide": PEROXIDE,
    "hydrogen peroxide": PEROXIDE,
    "formalin": "Formalin is poisonous and causes cancer: follow the label and local rules, or leave it to a vet.",
    "malachite green": "Malachite green is poisonous and not for food fish: follow the label and local rules.",
    "methylene blue": "Methylene blue stains and kills plants' and filters' life: follow the label.",
    "salt": "Salt is hard on plants, snails and some catfish: dissolve it first and go by the label.",
    "copper": "Copper kills snails, shrimp and live plants: follow the label.",
}
MEDICINE = "Follow the label, and ask a vet when fish are ill."
ELECTRICITY = "Dry hands before you touch a plug; unplug a heater before it leaves the water."
RELEASE = "Never release fish, plants or tank water outdoors."
SHIPPING = "Check the carrier's and local rules for live fish before you ship."


_LET_GO = re.compile(
    r"\b(?:releas\w*|dump\w*|flush\w*|let(?:ting)?\b.{0,40}\b(?:go|loose|free)|set(?:ting)?\b.{0,30}\bfree)\b"
    r".{0,60}\b(?:creek|river|pond|lake|stream|brook|ditch|canal|sea|wild|outdoors|outside|toilet|drain)s?\b",
    re.IGNORECASE | re.DOTALL,
)


def lets_go(text: str) -> bool:
    """Whether a message speaks of letting fish or their water out: "released 5 into the creek"."""
    return _LET_GO.search(text) is not None


# What goes in with every change of water is no medicine.
NO_MEDICINE = frozenset(("dechlorinator", "conditioner", "water conditioner", "tannin", "bacteria"))


def caution_for(substance: str) -> str:
    """The usual caution for something put into water with fish; empty where there is none to give."""
    return CAUTIONS.get(substance, "" if substance in NO_MEDICINE else MEDICINE)


def number(value: float) -> str:
    """A number without needless decimals: 2, 2.5, 0.25."""
    return f"{value:.2f}".rstrip("0").rstrip(".") if value != int(value) else f"{int(value):,}".replace(",", " ")


def count(n: int | None, one: str, many: str | None = None) -> str:
    """`40 eggs`, `1 egg`, `eggs, not counted`."""
    plural = many or f"{one}s"
    if n is None:
        return f"{plural}, not counted"
    return f"{number(n)} {one if n == 1 else plural}"


def fish(n: int | None, stage: str) -> str:
    """A number of fish at a stage: `31 fry`, `1 juvenile`, `fry, not counted`."""
    one = {"eggs": "egg", "juveniles": "juvenile", "adults": "adult"}.get(stage, stage)
    return count(n, one, stage)


def fish_of(n: int | None, line: str, stage: str) -> str:
    """The same with their line: `31 gardneri fry`, `1 medaka egg`, `medaka eggs, not counted`."""
    one = {"eggs": "egg", "juveniles": "juvenile", "adults": "adult"}.get(stage, stage)
    return count(n, f"{line} {one}", f"{line} {stage}")


def first_up(text: str) -> str:
    """With a capital at the beginning, the rest as it is."""
    return text[:1].upper() + text[1:]


MANY_LETTERS = 6  # so many tubs are each named by their letters, more are drawn together


def listed(items: Iterable[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    words = list(items)
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def places(names: Sequence[str]) -> str:
    """Places said shortly: `tanks 1–6`, `tubs A, B and C`, `tank 3`."""
    groups: dict[str, list[str]] = {}
    for name in dict.fromkeys(names):
        kind, _, rest = name.partition(" ")
        plain = rest and kind != "peat"  # a peat bag is one thing
        groups.setdefault(kind if plain else "", []).append(rest if plain else name)
    said = []
    for kind, rests in groups.items():
        if not kind or len(rests) == 1:
            said += [f"{kind} {r}".strip() for r in rests]
        else:
            said.append(f"{kind}s {listed(_runs(rests))}")
    return listed(said)


def _runs(rests: list[str]) -> list[str]:
    """Numbers in a row drawn together, of very many letters as well: 1 2 3 5 → 1–3, 5."""
    letters = len(rests) > MANY_LETTERS and all(re.fullmatch("[A-Z]", r) for r in rests)
    if not letters and not all(r.isdigit() for r in rests):
        return rests
    name = chr if letters else str
    out: list[list[int]] = []
    for n in sorted({ord(r) if letters else int(r) for r in rests}):
        if out and n == out[-1][-1] + 1:
            out[-1].append(n)
        else:
            out.append([n])
    said: list[str] = []
    for run in out:
        said += [f"{name(run[0])}–{name(run[-1])}"] if len(run) > 2 else [name(n) for n in run]
    return said


_HEADED = re.compile(r"^(?P<head>Done|Put off to .+?): (?P<what>[^.]+)\.$")


def under_one_head(lines: Sequence[str]) -> list[str]:
    """Chores ticked off or put off one after the other, said in one line: `Done: mops tank 3; filters tank 3.`"""
    said: list[tuple[str, list[str]]] = []
    for line in lines:
        hit = _HEADED.match(line)
        head, what = (hit["head"], hit["what"]) if hit else ("", line)
        if head and said and said[-1][0] == head:
            said[-1][1].append(what)
        else:
            said.append((head, [what]))
    return [f"{head}: {'; '.join(whats)}." if head else whats[0] for head, whats in said]


def day(when: dt.datetime | dt.date, today: dt.date | None = None) -> str:
    """`today`, `tomorrow`, `yesterday` or `Sat 14 Mar`; the year when it is another one."""
    date = when.date() if isinstance(when, dt.datetime) else when
    if today:
        near = {0: "today", 1: "tomorrow", -1: "yesterday"}.get((date - today).days)
        if near:
            return near
    text = f"{date:%a} {date.day} {date:%b}"
    return text if today is None or date.year == today.year else f"{text} {date.year}"


def moment(when: dt.datetime, zone: ZoneInfo, now: dt.datetime | None = None) -> str:
    """A day and clock time in the room's zone."""
    local = when.astimezone(zone)
    today = now.astimezone(zone).date() if now else None
    return f"{day(local, today)} {local:%H:%M}"


def span(first: dt.datetime, last: dt.datetime, zone: ZoneInfo) -> str:
    """Two days as one window: `21–26 Mar`, `28 Feb–3 Mar`, `14 Mar`."""
    a, b = first.astimezone(zone).date(), last.astimezone(zone).date()
    if a == b:
        return f"{a.day} {a:%b}"
    if (a.year, a.month) == (b.year, b.month):
        return f"{a.day}–{b.day} {b:%b}"
    return f"{a.day} {a:%b}–{b.day} {b:%b}"


def ago(then: dt.datetime, now: dt.datetime) -> str:
    """How long ago: `20 minutes ago`, `3 hours ago`, `5 days ago`."""
    hours = (now - then).total_seconds() / 3600
    if hours < 0:
        return "still to come"
    if hours < 1:
        return f"{count(max(1, round(hours * 60)), 'minute')} ago"
    if hours < 36:
        return f"{count(round(hours), 'hour')} ago"
    return f"{count(round(hours / 24), 'day')} ago"


def temperature(celsius: float, units: str) -> str:
    """As the room reads its thermometers."""
    if units != "us":
        return f"{number(round(celsius, 1))} °C"
    return f"{number(fahrenheit(celsius))} °F"


def fahrenheit(celsius: float) -> float:
    """Kept to a tenth of a degree Celsius, so a whole degree Fahrenheit comes back up to 0.1 off."""
    exact = celsius * 9 / 5 + 32
    return round(exact) if abs(exact - round(exact)) <= 0.1 else round(exact, 1)


_CELSIUS = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?)(?:( to | and |–| ± )(\d+(?:\.\d+)?))? °C")
_LITRES = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?) l\b(?!/)")


def in_room_units(text: str, units: str, gallon: str = "us") -> str:
    """A text whose figures are in °C and litres as the room measures; sources stay as published."""
    if units != "us":
        return text

    def degrees(hit: re.Match[str]) -> str:
        first, between, second = hit[1], hit[2], hit[3]
        if between is None:
            return temperature(float(first), units)
        warm = temperature(float(first), units).removesuffix(" °F")
        wide = number(round(float(second) * 1.8, 1)) + " °F" if between == " ± " else temperature(float(second), units)
        return f"{warm}{between}{wide}"

    lines = [
        line
        if line.startswith("Source:")
        else _LITRES.sub(lambda hit: volume(float(hit[1]), units, gallon), _CELSIUS.sub(degrees, line))
        for line in text.split("\n")
    ]
    return "\n".join(lines)


def volume(litres: float, units: str, gallon: str = "us") -> str:
    """As the room measures water; below two quarts in cups."""
    if units != "us":
        return f"{number(round(litres, 1))} l" if litres >= 1 else f"{round(litres * 1000)} ml"
    per_gallon = 3.785411784 if gallon == "us" else 4.54609
    if litres < 3:
        quarts = litres / per_gallon * 4
        return f"{number(round(quarts, 1))} qt" if quarts > 0.9 else count(round(litres / 0.2365882365), "cup")
    return f"{number(round(litres / per_gallon, 1))} gal"


def together(lines: Sequence[str], known: Container[str]) -> list[str]:
    """Lines that say the same of one place after another as one: `tubs A and B: peroxide 3 drops.`"""
    rows: list[tuple[list[str], str]] = []
    for line in lines:
        place, colon, rest = line.partition(": ")
        if colon and place in known and rows and rows[-1][0] and rows[-1][1] == rest:
            rows[-1][0].append(place)
        else:
            rows.append(([place], rest) if colon and place in known else ([], line))
    return [f"{places(spots)}: {rest}" if spots else rest for spots, rest in rows]


def trimmed(text: str, most: int) -> str:
    """At most so many characters, a mark at the end where some are left out."""
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def reading(quantity: str, value: float, units: str) -> str:
    """A measurement with its unit: `76 °F`, `pH 7.2`, `nitrate 40 mg/L`."""
    match quantity:
        case "temperature":
            return temperature(value, units)
        case "ph":
            return f"pH {number(value)}"
        case "gh" | "kh":
            return f"{quantity.upper()} {number(value)} °d"
        case "tds":
            return f"TDS {number(value)} mg/L"
        case "conductivity":
            return f"conductivity {number(value)} µS/cm"
        case "length":
            return f"{number(value)} mm"
        case _:
            return f"{quantity} {number(value)} mg/L"
