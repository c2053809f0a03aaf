"""Power gone and power back: kept as said, with none of its hours taken for tanks or counts."""

# ruff: noqa: E501  (tables of words are read as tables)

from __future__ import annotations

import re

from bot.language.scene import Part

_POWER = r"(?:power|pwr|powr|electricity|electrics?|elec|elecy|mains|current|leccy)"
_GONE = r"(?:out|off|cut|gone|failed|dead|down|tripped|dipped|outage|blackout|went|goes)"
_BACK = r"(?:back|restored|returned|on again)"
_TOLD = re.compile(
    rf"^(?:so |and |then |but |well |ok |storm took |we had |had |another |big |short |brief |quick |there was )*(?:a |an |the |our |another )?{_POWER}(?: (?:is|was|has|went|came|just|been|all|now|has been|went and|finally))*"
    rf" (?:{_GONE}|{_BACK})\b(?! (?:my|his|her|the cord|a|into|through)\b)"
    rf"|^(?:we |i |we've |just )*(?:lost|had no|have no|got no|without) (?:the )?{_POWER}\b"
    rf"|\btook (?:the |our )?{_POWER}\b|^{_POWER} (?:cut|outage|failure)\b(?! (?:my|his|her)\b)"
    rf"|^(?:and |all |everything |it |lights? |we are |we're )*(?:is |are |came |just |all |now )*{_BACK} on(?: (?:now|again|at|since|after|around|about|pm|am|\d+|and|an|half|hour|hours|min|minutes))*$"
    r"|^(?:the )?(?:lights|everything) (?:just |all |finally )*(?:came|went|are|is) back on\b|^(?:half )?the street (?:was|is|went) dark\b|\b(?:brownout|blackout)\b"
)


def outage(part: Part) -> bool:
    """Whether a clause tells that the power went or came back."""
    return not part.muted and not part.asks and _TOLD.search(part.text()) is not None
