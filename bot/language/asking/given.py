"""What a question gives to reckon with: its numbers with what they belong to."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from bot.language.text.figures import UNITS, spelled_at
from bot.language.text.words import normal
from shared.quantities import Gallon, convert

Given = dict[str, float | str]

NUM = r"(?:(?<![\w.)])-)?(?<![\d.,])\d++(?:\.\d++)?+"
VOLUME = (
    r"(?:(?:us|u\.s\.|imp|imperial|uk) )?"
    r"(?:gal(?:lon)?s?|quarts?|qts?|pints?|cups?|fl\.? ?oz|fluid ounces?|lit(?:er|re)s?|ltr|ml|cc|millilit(?:er|re)s?|l)"
)
_SPOON = r"(?:tbsps?|tablespoons?|tsps?|teaspoons?|drops?)"
_DEGREE = r"(?:°|deg(?:rees?)?)"
_UNIT = (
    rf"(?:{VOLUME}|{_SPOON}|cu(?:bic)?\.? (?:ft|feet|foot|in|inch(?:es)?|met(?:er|re)s?)|ft3|m3"
    r"|ug/l|mg/l(?: caco3)?|g/l|ppm(?: caco3)?|ppb|ppt|grains? per gallon|gpg|mmol/l|meq/l"
    r"|d[gk]?h|[gk]h|(?:german|french|english) degrees?|degrees? (?:german|french|english|clark)|[ef]h|clark"
    rf"|{_DEGREE} ?[fcd]h?|°?[fck]|fahrenheit|celsius|centigrade|kelvin"
    r"|mm|cm|millimet(?:er|re)s?|centimet(?:er|re)s?|microns?|µm|um|inch(?:es)?|in|feet|foot|ft|met(?:er|re)s?|m"
    r"|kg|kilos?|kilograms?|mg|milligrams?|grams?|g|ounces?|oz|pounds?|lbs?)"
)
_LENGTH = r"(?:mm|cm|millimet(?:er|re)s?|centimet(?:er|re)s?|inch(?:es)?|in|\"|feet|foot|ft)"
_SIDE = r"(?: (?:long|wide|high|deep|tall))?"
SIDES = re.compile(
    rf"({NUM}) ?({_LENGTH})?{_SIDE} ?(?:x|by|\*|,) ?({NUM}) ?({_LENGTH})?{_SIDE} ?(?:x|by|\*|,|and) ?({NUM}) ?({_LENGTH})?{_SIDE}(?![\w.])"
)
TURNED = (
    re.compile(
        rf"(?P<n>{NUM}) ?(?P<unit>{_UNIT}) ?(?:in|into|to|as|=|is how many|is what in) (?P<to>{_UNIT})(?![\w/])"
    ),
    re.compile(
        rf"how (?:many|much) (?P<to>{_UNIT}) (?:is|are|in|does|do|to|makes?|go(?:es)? (?:in|to)|=) ?"
        rf"(?:there in |in |into |to )?(?:(?P<n>{NUM})|an?|the)? ?(?P<unit>{_UNIT})(?![\w/])"
    ),
    re.compile(rf"(?P<n>{NUM}) ?(?P<unit>{_UNIT}) (?:is|are|makes?) how (?:many|much) (?P<to>{_UNIT})(?![\w/])"),
    re.compile(
        rf"(?P<n>{NUM}) ?(?P<unit>ppm|mg/l) ?(?:of )?(?:general |carbonate |total )?(?:hardness|gh|kh|caco3)?"
        r" ?(?:in|into|to|as) (?:german )?(?P<to>degrees|d[gk]h|[gk]h)\b"
    ),
    re.compile(
        rf"(?P<n>{NUM}) ?(?P<unit>(?:french|english|clark|german) degrees?|degrees? (?:french|english|clark|german))"
        r" (?:in|into|to|as) (?P<to>german|french|english|clark|ppm|mg/l)\b"
    ),
    re.compile(rf"convert (?P<n>{NUM}) (?P<unit>[a-z]{{4,}}) (?:in|into|to) (?P<to>[a-z]{{1,}})"),
)
NITROGEN = rf"(?:{NUM}) ?(?:ppm|mg/l)? ?(?:of )?(?:ammonia|nitrite|nitrate|nh[34]|no[23])(?:-n\b| as n\b| \(n\))? (?:in|into|to|as) (?:ammonia|nitrite|nitrate|nh[34]|no[23]|n\b|the ion)"
_QUANTITIES = {
    "ammonia": r"(?:total )?ammonia|nh3|nh4|tan",
    "nitrite": r"nitrites?|no2",
    "nitrate": r"nitrates?|no3",
    "ph": r"p\.?h",
    "tds": r"tds",
    "oxygen": r"(?:dissolved )?oxygen|o2|do reading",
}
_BETWEEN = r"(?: ?(?:mg/l|ppm|mg))?(?: (?:of|total))? ?"
_AFTER = r" ?(?:is|are|at|of|was|reads?|reading|level|test|tests|shows?|=|:|value|about|around|now)* ?"
SUBSTANCES = {
    "peroxide": r"(?:hydrogen )?peroxide|h2o2",
    "methylene blue": r"methylene(?: blue)?|meth[- ]?blue|\bmb\b",
    "acriflavine": r"acriflavin[e]?",
    "formalin": r"formalin|formaldehyde|formol",
    "malachite green": r"malachite(?: green)?",
    "copper": r"copper(?: sul(?:f|ph)ate)?",
    "salt": r"salt|sodium chloride|nacl",
}


# ---- the words made plain


def _figures(text: str) -> str:
    """Number words, halves and minus signs as figures: "two and a half", "point five", "minus three"."""
    parts = re.findall(r"[a-z]+(?:'[a-z]+)?|\d+(?:\.\d+)?|\s+|.", text)
    seats = [n for n, part in enumerate(parts) if not part.isspace()]
    words = [parts[n] for n in seats]
    out, at = "", 0
    while at < len(words):
        lead = " " if seats[at] and parts[seats[at] - 1].isspace() and out else ""
        word, after = words[at], words[at + 1] if at + 1 < len(words) else ""
        if word == "point" and UNITS.get(after, 10) <= 9:
            digits = ""
            at += 1
            while at < len(words) and UNITS.get(words[at], 10) <= 9:
                digits += str(UNITS[words[at]])
                at += 1
            out += f"{lead}0.{digits}"
            continue
        if word in ("minus", "negative"):
            out += f"{lead}-"
            at += 1
            if at < len(words) and words[at][0].isdigit():
                out += words[at]
                at += 1
            continue
        found = spelled_at(words, at) if word.isalpha() else None
        if found:
            out += f"{lead}{found[1]:g}"
            at += found[0]
            continue
        out += lead + word
        at += 1
    return re.sub(r"- (?=\d)", "-", out) if re.search(r"\b(minus|negative)\b", text) else out


@lru_cache(maxsize=64)  # one question is looked at from several sides
def plain(text: str) -> str:
    """A question in small letters, its number words as figures, decimal commas as points, fractions reckoned out."""
    said = " ".join(normal(text)[0].lower().split())
    said = re.sub(r"(?<![\d.,])([1-9]\d{0,2}),(\d{3})(?![\d,.])", r"\1\2", said)
    said = re.sub(r"(?<![\d.,])(\d+),(\d{1,3})(?![\d,])", r"\1.\2", said)
    said = re.sub(r"(?<![\d.])\.(\d)", r"0.\1", said)
    said = _figures(said)
    said = re.sub(r"(?<![\d./])(\d+) and (?:a half|1/2)\b", lambda m: f"{int(m[1]) + 0.5:g}", said)
    said = re.sub(
        r"(?<![\d./])(?:(\d+) )?(\d)/([248])(?![\d/])", lambda m: f"{int(m[1] or 0) + int(m[2]) / int(m[3]):g}", said
    )
    said = re.sub(rf"\bhalf (?:an? )?(?={_UNIT}\b)", "0.5 ", said)
    return re.sub(rf"\ban? (?={VOLUME}(?![\w/])|{_SPOON}\b|inch\b)", "1 ", said) if _counts_one(said) else said


def _counts_one(said: str) -> bool:
    """Whether "a cup" is an amount: in conversions and doses, not in "changes per gallon"."""
    return bool(re.search(r"\bhow (?:many|much|strong)\b|\bwhat strength\b|\bconvert\b|\bfor an?\b|\bin an?\b", said))


def without_names(said: str, names: Iterable[str] = ()) -> str:
    """The plain words with tanks, tubs and batches blotted out, so that their numbers count as nothing."""
    for name in sorted(names, key=len, reverse=True):
        if any(c.isdigit() for c in name):
            said = re.sub(rf"(?<!\w){re.escape(name.lower())}(?![\w.]\w|\w| ?(?:x|by) ?\d)", "#", said)
    beyond = rf"(?![\d.]*\d)(?! ?{_LENGTH}?(?: (?:long|wide|high|deep))? ?(?:x|by|\*) ?\d)(?! ?-?{VOLUME}(?![\w/]))"
    said = re.sub(
        rf"\b(?:tanks?|tubs?|trays?|jars?|t) ?#?\d+{beyond}(?: ?(?:and|or|,|than|vs\.?) (?:tank )?\d+{beyond})*",
        "#",
        said,
    )
    return re.sub(r"\bb ?\d+\b", "#", said)


# ---- numbers with what they belong to


def _first(pattern: str, said: str) -> float | None:
    found = re.search(pattern, said)
    return float(found[1]) if found else None


def celsius_said(value: float, letter: str, metric: bool) -> float:
    """A temperature in °C: by its letter, else by which scale makes it water, else by the room's own."""
    if letter[:1] in ("c", "f"):
        fahrenheit = letter[:1] == "f"
    else:
        fahrenheit = value >= 50 or (value > 40 and not metric) or (value < 10 and not metric)
    return (value - 32) / 1.8 if fahrenheit else value


def _temperature(said: str, metric: bool) -> float | None:
    found = re.search(rf"({NUM}) ?{_DEGREE}? ?(f|c|fahrenheit|celsius|centigrade)(?![\w/'])", said)
    if found:
        return celsius_said(float(found[1]), found[2], metric)
    found = re.search(rf"({NUM}) ?{_DEGREE}(?! ?(?:d|german|french|english|clark|hard))(?!\w)", said) or re.search(
        rf"\b(?:temp(?:erature)?|warm|water at){_AFTER}({NUM})(?! ?(?:%|mm|{VOLUME}(?![\w])))", said
    )
    return celsius_said(float(found[1]), "", metric) if found else None


def _readings(said: str) -> Given:
    """Readings with their numbers, whichever of the two the keeper says first."""
    out: Given = {}
    rest = re.sub(rf"\b(?:{_QUANTITIES['ph']}){_AFTER}{NUM}", "", said)
    number = re.search(NUM, rest)
    word = re.search("|".join(rf"\b(?:{w})\b" for name, w in _QUANTITIES.items() if name != "ph"), rest)
    word_first = bool(word and number and word.start() < number.start())
    for name, sorts in (("ph", _QUANTITIES["ph"]), *_QUANTITIES.items()):
        if name in out:
            continue
        before = rf"({NUM}){_BETWEEN}(?:{sorts})\b"
        after = rf"\b(?:{sorts}){_AFTER}({NUM})(?! ?(?:%|°|deg|[cf]\b|{VOLUME}(?![\w/])|x |changes?))"
        for pattern in (after, before) if name in ("ph", "tds") or word_first else (before, after):
            found = re.search(pattern, said)
            if found:
                out[name] = float(found[1])
                said = f"{said[: found.start()]} # {said[found.end() :]}"
                break
    return out


def _litres(amount: float, unit: str, gallon: Gallon) -> float | None:
    """Litres, also below zero, which whoever reckons then refuses in words."""
    sign = -1 if amount < 0 else 1
    try:
        return sign * convert(abs(amount), unit, "l", gallon).value
    except ValueError:
        return None


def volumes_in(said: str, gallon: Gallon = "us") -> list[tuple[float, str]]:
    """Every volume of water in plain words, in litres, with the words that follow it."""
    found = []
    for hit in re.finditer(rf"({NUM}) ?-?({VOLUME})(?![\w/])", said):
        litres = _litres(float(hit[1]), hit[2], gallon)
        if litres is not None:
            found.append((litres, said[hit.end() : hit.end() + 24].strip()))
    return found


def _strengths(said: str, gallon: Gallon) -> Given:
    out: Given = {}
    stock = re.search(
        rf"({NUM}) ?(?:%|percent|per cent|pct)(?= ?(?:w/v |w/w )?(?:stock|solution|strength|peroxide|hydrogen|h2o2|methylene|meth|acri|formalin|malachite|bottle|dropper))",
        said,
    )
    stock = stock or re.search(
        rf"(?:stock|solution|bottle|strength|peroxide|h2o2|blue)(?: (?:is|of|at|that is|reads|says))* ({NUM}) ?(?:%|percent|pct)",
        said,
    )
    if stock:
        out["strength"] = float(stock[1])
    for hit in re.finditer(rf"({NUM}) ?(?:%|percent|per cent|pct)", said):
        if not stock or hit.start() != stock.start(1):
            out["percent"] = float(hit[1])
            break
    grams = re.search(
        rf"({NUM}) ?(?:g|grams?)(?: ?/ ?| (?:per|to the|to each|an?) )(l\b|lit(?:er|re)|gal(?:lon)?)", said
    )
    if grams:
        per = _litres(1, grams[2], gallon) or 1.0
        out["g_per_l"] = float(grams[1]) / per
    elif (value := _first(rf"({NUM}) ?(?:ppt|parts per thousand)\b", said)) is not None:
        out["g_per_l"] = value
    if (
        value := _first(
            rf"({NUM}) ?(?:mg/l|ppm)(?! ?(?:of )?(?:total )?(?:ammonia|nitr|nh|no[23]|oxygen|o2|gh|kh|caco3))", said
        )
    ) is not None:
        out["mg_per_l"] = value
    return out


def _targets(said: str) -> Given:
    out: Given = {}
    span = re.search(
        rf"\bfrom ({NUM})(?: ?(?:ppm|mg/l|°?d?[gk]?h|degrees?|tds|nitrates?))?,? (?:down |nitrate )?(?:to|under|below) ({NUM})",
        said,
    )
    if span:
        out["from"], out["target"] = float(span[1]), float(span[2])
    else:
        for key, pattern in (
            ("from", rf"\b(?:from|it'?s at|(?:is|are) (?:now )?at|starting (?:at|from)) ({NUM})"),
            (
                "target",
                rf"\b(?:down to|get(?: it)? to|to get|to make|to reach|to|under|below|until|want|for(?: a)?(?: tds| gh| hardness)?(?: of)?) ({NUM})(?! ?(?:%|{VOLUME}(?![\w/])|fry|fish|days?|weeks?|cups?|generations?|males?|females?))",
            ),
        ):
            value = _first(pattern, said)
            if value is not None:
                out[key] = value
    tap = _first(
        rf"\btap(?: ?water)?(?: (?:is|at|of|has|with|itself|reads?|tests?|comes out|water|holds|=|d?[gk]h|tds|hardness))* ?({NUM})",
        said,
    )
    tap = (
        tap
        if tap is not None
        else _first(
            rf"({NUM}) ?(?:ppm|mg/l|°?d?[gk]?h|degrees?|tds)?(?: nitrates?)? (?:in|from|out of) (?:the |my |our )?tap",
            said,
        )
    )
    if tap is not None:
        out["tap"] = tap
    pure = _first(rf"\b(?:ro|r/o|osmosis|rain ?water|distilled)(?: water)?(?: (?:is|at|of|has|reads?))+ ({NUM})", said)
    if pure is not None:
        out["pure"] = pure
    return out


def _counts(said: str) -> Given:
    out: Given = {}
    for key, pattern in (
        ("males", rf"({NUM}) ?(?:males?|cocks?|boys?|sires?|fathers?)\b"),
        ("females", rf"({NUM}) ?(?:females?|hens?|girls?|dams?|mothers?)\b"),
        ("generations", rf"({NUM}) (?:more )?generations?"),
        ("changes", rf"({NUM}) (?:more )?(?:{NUM} ?(?:%|percent) )?(?:water )?changes\b"),
        (
            "count",
            rf"({NUM}) (?!mm|cm|in|inch|days?|weeks?|months?)(?:more )?(?:\d+(?:\.\d+)? ?(?:mm|cm|inch(?:es)?|in|\") )?(?:[a-z]+ )?(?:fish|fry|eggs?|young|juveniles?|babies|hatchlings?)\b",
        ),
        ("volumes", rf"({NUM}) (?:whole |full )?tank volumes?"),
        (
            "gained",
            rf"\b(?:gains?|adds?|goes up|going up|rises?|rising|makes?|produces?|climbs?|builds? up)(?: by)? ({NUM})",
        ),
        ("drops_per_ml", rf"({NUM}) drops (?:to|per|a|in an?|/) ?(?:the )?ml"),
    ):
        value = _first(pattern, said)
        if value is not None:
            out[key] = value
    if "count" not in out and (
        put := re.search(rf"\b(?:put|keep|fit|raise) ({NUM}) (?=[a-z\d])(?!mm|cm|in\b|inch)", said)
    ):
        out["count"] = float(put[1])  # "can i put 100 1 inch gardneri in 20 gallons"
    if re.search(r"\bpairs?\b", said) and "males" not in out and "females" not in out:
        pairs = _first(rf"({NUM}) pairs?\b", said)
        out["males"] = out["females"] = pairs if pairs is not None else 1.0
    if re.search(r"\b(?:a|1|one) trio\b", said) and "males" not in out:
        out["males"], out["females"] = 1.0, 2.0
    if "gained" not in out:
        gained = _first(rf"({NUM})(?: ?(?:ppm|mg/l))? (?:a|per|each|every|between) (?:week|day|change|time)", said)
        if gained is not None:
            out["gained"] = gained
    both = re.search(rf"({NUM}) ?m ?[/,+]? ?(?:and )?({NUM}) ?f\b", said)
    if both and "males" not in out:
        out["males"], out["females"] = float(both[1]), float(both[2])
    age = re.search(rf"({NUM})[ -]?(days?|weeks?|months?|wks?)\b", said)
    age = age or re.search(r"\b(?:for|in|over|after) (an?|1) (day|week|month)\b", said)
    if age:
        out["days"] = (float(age[1]) if age[1] not in ("a", "an") else 1.0) * {"d": 1, "w": 7, "m": 30.4}[age[2][0]]
    return out


def given_in(text: str, names: Iterable[str] | None = None, *, metric: bool = False, gallon: Gallon = "us") -> Given:
    """What a question gives, by name, in one set of units.

    `ammonia`, `nitrite`, `nitrate`, `oxygen`, `tds` mg/L, `ph`, `temperature` °C, `litres`, `percent`, `strength` (of
    a stock, %), `g_per_l`, `mg_per_l`, `from`, `target`, `tap`, `pure`, `substance`, `count`, `males`, `females`,
    `generations`, `changes`, `days`, `length` mm, `side1` to `side3` with `side_unit`, and of a conversion `amount`,
    `unit`, `to`. `names` are words of the room whose numbers count as nothing; `metric` says how a bare temperature is
    meant. Numbers come as written, also impossible ones: whoever reckons with them refuses. Never raises.
    """
    said = without_names(plain(text), names or ())
    out: Given = {}
    sides = SIDES.search(said)
    if sides:
        out["side1"], out["side2"], out["side3"] = (float(sides[n]) for n in (1, 3, 5))
        unit = sides[6] or sides[4] or sides[2]
        out["side_unit"] = {'"': "in", None: "cm" if metric else "in"}.get(unit, unit)
        said = said[: sides.start()] + " # " + said[sides.end() :]
    for pattern in TURNED:
        turned = pattern.search(said)
        if turned:
            out["amount"], out["unit"], out["to"] = float(turned["n"] or 1), turned["unit"], turned["to"]
            break
    out |= _readings(said) | _strengths(said, gallon) | _targets(said) | _counts(said)
    if "target" in out and out["target"] == out.get("nitrate") == out.get("from"):
        del out["target"]
    celsius = _temperature(said, metric)
    if celsius is not None:
        out["temperature"] = celsius
    waters = volumes_in(said, gallon)
    if waters:
        out["litres"] = waters[0][0]
    spoon = re.search(rf"({NUM}) (?:level )?({_SPOON})\b", said)
    if spoon and "amount" not in out:
        out["amount"], out["unit"] = float(spoon[1]), spoon[2]
    long = re.search(rf"({NUM}) ?-?(mm|cm|millimet(?:er|re)s?|centimet(?:er|re)s?|inch(?:es)?|in|\")(?![\w])", said)
    if long:
        unit = "in" if long[2] == '"' else long[2]
        sign = -1 if float(long[1]) < 0 else 1
        out["length"] = sign * convert(abs(float(long[1])), unit, "mm").value
    for name, words in SUBSTANCES.items():
        if re.search(rf"\b(?:{words})\b", said):
            out["substance"] = name
            break
    return out
