"""The patterns of short hand, in its letters, what each tells, and what must have been spoken of before for it to fit."""

# ruff: noqa: E501  (tables of patterns are read as tables)

from __future__ import annotations

import re
from collections.abc import Callable

from bot.language.group import Raw
from bot.language.rows import chores, eggs_and_fish
from bot.language.rows.clause import Clause

Tell = Callable[[Clause], list[Raw]]
TOPICS = (
    ("q", "measure"), ("X", "bad_eggs"), ("E", "eyed"), ("H", "hatch"), ("K", "death"), ("C", "headcount"), ("F", "feed"), ("Y", "feed"), ("S", "sale"), ("Z", "water_change"), ("L", "pull"), ("m", "pull"),
)  # fmt: skip
_E, _C = eggs_and_fish, chores
_MANY = r"(?:J|[Pnr](?:[,/]?[Pnr])*)"
_ONE = "[Pn]"
_GOES = r"(?:(?:,?[>@])?(?P<to>P))?(?:,?(?P<x>[n0])X(?:@?(?P<xs>P))?)?"
_HOURS = r"(?P<t>T(?:[,/]?[Tn])*)"
_WHO = "[lyuMW]*"
_ROWS: tuple[tuple[str, str, Tell], ...] = (
    # eggs pulled
    (rf"(?P<s>{_ONE})@?(?P<l>l)?[Lm]+[:,]?(?P<c>[n0])(?P<k>[ml]*){_GOES}", "", _E.pull),
    (rf"[Lm]+@?(?P<s>{_ONE})[:,]?(?P<c>[n0])(?P<l>[ml]*){_GOES}", "", _E.pull),
    (rf"[LO]?(?P<c>[n0])(?P<l>l?)m(?P<k>l?)[@L]+(?P<s>{_ONE})(?:,?[>@](?P<to>P))?(?:,?(?P<x>n)X)?", "", _E.pull),
    (rf"L?(?P<c>[n0])(?P<l>l?)m(?P<k>l?)(?P<s>P){_GOES}", "", _E.pull),
    (r"L?(?P<c>n)(?P<l>l)m?L?(?:,?>(?P<to>P))", "", _E.pull),
    (r"L?(?P<c>n)(?P<l>l)m,?(?P<to>P)", "", _E.pull),
    (r"(?P<pairs>(?:[Pn][:@]?n,?)+[Pn][:@]?n)(?P<sign>[mC])(?:[>@](?P<to>P))?", "", _E.pairs),
    (r"(?P<c>n)m@i(?:,?[>@](?P<to>P))?", "", _E.pull),
    (r"(?P<l>l)(?P<c>n)m?@i(?:,?>(?P<to>P))?", "", _E.pull),
    (rf"[Lm]+@?(?P<s>{_ONE}(?:[,/]?{_ONE})+):(?P<cs>[n0](?:[,/][n0])+)", "", _E.pull),
    (rf"(?P<s>{_ONE}(?:[,/]?{_ONE})+)[Lm]+:?(?P<cs>[n0](?:[,/][n0])+)", "", _E.pull),
    (rf"[Ldm]*m@?(?P<s>{_ONE})(?=@?D?,[n0]m(?:[,|\n]|$))", "", _E.pull),
    (r"(?P<c>[n0])m", "pull", _E.counted_eggs),
    (rf"(?P<s>P):?(?P<c>[n0])(?P<l>l?)m(?P<k>l?){_GOES}", "", _E.pull),
    (rf"(?P<s>P):?(?P<c>[n0])m?{_GOES}", "pull", _E.pull),
    (rf"(?P<s>n)[:,]?(?P<c>[n0])m?{_GOES}", "pull", _E.pull),
    (rf"(?P<c>n)m?@(?P<s>{_ONE})", "pull", _E.pull),
    (r"(?P<all>\*)?(?P<l>l)?(?:O[>@]?|[>@])(?P<to>P)", "", _E.into),
    (r"(?P<s>[Pn])[>@](?P<to>P)", "pull", _E.its_into),
    # picked out
    (r"L?(?P<c>[n0])X+m?@?(?P<s>[Pb])", "", _E.bad),
    (r"(?P<s>[Pb]):?(?P<c>[n0])X+m?@?", "", _E.bad),
    (r"X+m?@?(?P<s>[Pb]):?(?P<c>[n0])", "", _E.bad),
    (r"(?P<c>n)X+m?", "", _E.bad),
    (r"(?P<s>[Pb]):?(?P<c>[n0])", "bad_eggs", _E.bad),
    (r"(?P<c>n)\+?@(?P<s>[Pb])", "bad_eggs", _E.bad),
    # eyed, hatched
    (r"(?P<s>[Pb])E+:?(?P<c>n)?", "", _E.eyed),
    (r"(?P<s>[Pb])E+:?(?P<c>n)/n", "", _E.eyed),
    (r"(?P<c>n)m?E+@?(?P<s>[Pb])", "", _E.eyed),
    (r"(?P<s>[Pb]):?(?P<c>n)E+(?:,?(?P<x>n)X)?", "", _E.eyed),
    (r"(?P<s>[Pb]):?(?P<c>n)", "eyed", _E.eyed),
    (r"(?P<s>[Pb])H+[:,]?(?P<c>n)y?(?:,?>(?P<to>[Pn]))?", "", _E.hatch),
    (r"(?P<s>[Pb]):?(?P<c>n)y?H+(?:,?>(?P<to>[Pn]))?", "", _E.hatch),
    (r"(?P<c>n)y?H+@(?P<s>[Pb])(?:,?>(?P<to>[Pn]))?", "", _E.hatch),
    (r"\*?O?>(?P<to>[Pn])", "hatch", _E.hatched_into),
    (r"\*?O?@(?P<to>P)", "hatch", _E.hatched_into),
    # dead, counted
    (rf"(?P<c>n)(?P<w>{_WHO}K{_WHO})@?(?P<s>[Pb])", "", _E.death),
    (rf"(?P<c>n)(?P<w>{_WHO}K{_WHO})@(?P<s>n)", "", _E.death),
    (rf"(?P<c>n)(?P<w>{_WHO}K{_WHO})(?P<s>n)", "", _E.death),
    (rf"(?P<c>n)(?P<w>{_WHO}K{_WHO})", "", _E.death),
    (rf"(?P<s>[Pb]):?(?P<c>n)(?P<w>{_WHO}K{_WHO})", "", _E.death),
    (rf"K(?P<c>n)(?P<w>{_WHO})@(?P<s>[Pbn])", "", _E.death),
    (rf"K(?P<c>n)(?P<w>{_WHO})(?P<s>[Pb])", "", _E.death),
    (rf"K(?P<c>n)(?P<w>{_WHO})", "", _E.death),
    (r"(?P<one>l?[MW])@(?P<s>[Pbn])K?", "death", _E.death),
    (r"(?P<one>l?[MW])@(?P<s>[Pbn])K", "", _E.death),
    (r"(?P<one>l?[MW])(?P<s>[Pb])K", "", _E.death),
    (r"(?P<s>P)(?P<one>l?[MW])K", "", _E.death),
    (r"(?P<one>[MW])\+?", "death", _E.death),
    (r"(?P<c>n)(?P<w>[MW])\+?", "death", _E.death),
    (rf"(?P<c>n)(?P<w>{_WHO})@(?P<s>[Pbn])", "death", _E.death),
    (r"(?P<s>[Pbn]):(?P<c>[n0])", "death", _E.death),
    (r"(?P<s>[Pb])(?P<c>[n0])", "death", _E.death),
    (r"C@?(?P<s>[Pbn]):?(?P<c>n)[yuR]*(?:,:n,)?", "", _E.headcount),
    (r"(?P<s>[Pbn])C:?(?P<c>n)[yuR]*(?:,:n,)?", "", _E.headcount),
    (r"(?P<s>[Pb]):?(?P<c>n)[yu]*R", "", _E.headcount),
    (r"(?P<s>P)@(?P<c>n)[yu]", "", _E.headcount),
    (r"(?P<s>[Pbn])[:@]?(?P<c>n)[yuR]*", "headcount", _E.headcount),
    (r"@?(?P<c>n)u?", "death", _E.so_many_left),
    (r"@?(?P<c>n)[yum]?(?P<left>R)", "", _E.so_many_left),
    (r"(?P<c>n)[MW],(?P<one>[MW])", "", _E.sexes),
    # moved, sold
    (r"O?(?P<c>n)(?P<w>[lyu]*)@(?P<s>[Pn])>(?P<to>[Pn])", "", _E.moved),
    (r"O?(?P<c>n)(?P<b>b)u?(?:@(?P<s>[Pn]))?>(?P<to>[Pn])", "", _E.moved),
    (r"O?(?P<c>n)(?P<w>[lyu]*)(?P<s>P)y?>(?P<to>[Pn])", "", _E.moved),
    (r"O?(?P<b>b)>(?P<to>P)(?P<c>n)", "", _E.moved),
    (r"O?(?P<c>n)(?P<w>[lyu]*)>(?P<to>[Pn])@(?P<s>[Pn])", "", _E.moved),
    (r"O?(?P<s>P)O?>(?P<to>[Pn])(?:,(?P<c>n)u?)?", "", _E.moved),
    (r"(?P<c>n)u?", "move", _E.moved_count),
    # once more, on other days
    (r"(?P<sign>[mLXEHKC])+@?(?P<s>[Pbn]):+(?=D)", "", _E.about),
    (r"(?P<s>[Pb])(?P<sign>[mLXEHKC])+:+(?=D)", "", _E.about),
    (r"(?P<c>n)\+?", "move", _E.again),
    (r"(?P<c>[n0])", "pull", _E.again),
    (r"(?P<c>[n0])", "pull", _E.by_days),
    (r"(?P<c>n)", "bad_eggs", _E.again),
    (r"(?P<c>n)", "bad_eggs", _E.by_days),
    (r"(?P<c>n)", "hatch", _E.again),
    (r"(?P<c>n)", "eyed", _E.again),
    (r"(?P<c>n)", "eyed", _E.by_days),
    (r"(?P<c>n)", "death", _E.again),
    (r"(?P<c>n)", "death", _E.by_days),
    (r"(?P<c>n)", "headcount", _E.again),
    (r"(?P<c>n)", "headcount", _E.by_days),
    (r"(?P<c>n)\+", "", _E.again),
    (r"0[?]?", "", _E.nothing),
    (r"P[k0]", "bad_eggs", _E.nothing),
    (r"\??@?\??(?P<bag>(?:[Snhptlb$PMWuy]|,?@?,?[@>:,](?=[hP$n])){3,12})", "", _E.sold),
    # water
    (rf"(?P<z>Z)w?@?(?P<s>{_MANY})[:,]?(?P<p>%)?A?(?:@?{_HOURS})?", "", _C.changed),
    (rf"Zw?(?P<p>%)A?@?(?P<s>{_MANY})(?:@?{_HOURS})?", "", _C.changed),
    (rf"(?P<s>{_MANY})[:,]?(?P<z>Z)w?x?,?(?P<p>%)?A?(?:@?{_HOURS})?", "", _C.changed),
    (rf"(?P<s>{_MANY})[:,]?(?P<z>Z)@?{_HOURS},?(?P<p>%)A?", "", _C.changed),
    (rf"(?P<s>{_MANY})(?P<z>w)", "", _C.changed),
    (rf"(?P<s>{_MANY})[:,]?(?P<p>%)[ZwAx]*(?:,?\??g)?(?:@?{_HOURS})?", "", _C.changed),
    (rf"(?P<p>%)[ZwA]*@?(?P<s>{_MANY})(?:@?{_HOURS})?", "", _C.changed),
    (rf"Z?(?P<v>V)[ZwA]*@?(?P<s>{_MANY})", "", _C.changed),
    (rf"Zw?@?(?P<s>{_MANY}),?(?P<v>V)", "", _C.changed),
    (rf"(?P<s>J)(?P<z>Z)[,(]?Q(?P<ex>{_MANY})", "", _C.changed),
    (rf"(?P<z>Z)(?P<p>%)?(?P<s>J)[,(]?Q(?P<ex>{_MANY})", "", _C.changed),
    (r"Zw?(?P<p>%)", "", _C.changed),
    (r"Z(?P<c>n)", "", _C.share),
    (r"Z(?P<s>P)(?P<c>n)", "", _C.share),
    (r"(?P<s>P)(?P<c>n)", "water_change", _C.share),
    (r"(?P<p>%)x?", "water_change", _C.share_then),
    (r"x", "water_change", _C.share_then),
    (r"(?P<p>%)A", "water_change", _C.share_all),
    (rf"(?P<s>{_MANY})(?P<v>V)[w@]", "", _C.changed),
    (rf"\^w?@?(?P<s>{_MANY})", "", _C.topped),
    (rf"(?P<s>{_MANY})\^", "", _C.topped),
    # additives, food
    (rf"(?P<u>s)?(?P<a>a)(?P<u2>s)?A?[@>]?(?P<s>{_MANY})", "", _C.dosed),
    (rf"(?P<u>s)@?(?P<s>{_MANY}):?(?P<a>a)A?", "", _C.dosed),
    (rf"(?P<s>{_MANY}):?(?P<u>s)?:?(?P<a>a)(?P<u2>s)?A?", "", _C.dosed),
    (r"(?P<u>s)?(?P<a>a)(?P<u2>s)?A?", "", _C.dosed),
    (r"(?P<u>s)", "", _C.dosed),
    (rf"(?P<g>F)?(?P<f>f(?:,f)*)[@>:]*(?P<s>{_MANY})(?:@?{_HOURS})?", "", _C.fed),
    (rf"(?P<s>{_MANY}):?(?P<g>F)?(?P<f>f(?:,f)*)F?(?:@?{_HOURS})?", "", _C.fed),
    (rf"(?P<s>{_MANY}):?(?P<g>F)(?:@?{_HOURS})?", "", _C.fed),
    (rf"(?P<g>F)@?(?P<s>{_MANY}),?(?P<f>f)?(?:@?{_HOURS})?", "", _C.fed),
    (rf"F?(?P<s>J)(?P<f>f)Q(?P<ex>J|l|{_MANY}),?F?(?P<f2>f)", "", _C.fed_but),
    (rf"(?P<g>F)(?P<s>J)(?P<f>f)?Q(?P<ex>{_MANY}),?(?P<f2>f)?(?:@?{_HOURS})?", "", _C.fed),
    (rf"(?P<s>J):?F?(?P<f>f)Q(?P<ex>{_MANY})(?:@?{_HOURS})?", "", _C.fed),
    (rf"(?P<f>f)[@>:]*(?P<s>J)Q(?P<ex>{_MANY})(?:@?{_HOURS})?", "", _C.fed),
    (rf"(?P<y>Y|yF)(?P<g>F)?(?P<f>f)?(?:@?{_HOURS})?", "", _C.fed),
    (rf"(?P<f>f)@?{_HOURS}", "feed", _C.fed),
    (rf"(?P<s>{_MANY})F(?P<t>n)", "feed", _C.fed),
    (r"(?P<t>n)(?P<f>f)[,:@>]*(?P<s>J|P)", "feed", _C.fed),
    (r"(?P<t>n)(?P<s>J|P)", "feed", _C.fed),
    (r"(?P<t>n)(?P<y>y)", "feed", _C.fed),
    (r"(?P<t>n)(?P<all>\*)", "feed", _C.fed),
    (r"(?P<y>y)", "feed", _C.fed),
    (r"(?P<y>y):?F?(?P<f>f(?:,f)*)", "", _C.fed),
    (r"(?P<s>J|P)", "feed", _C.fed),
    (r"\*?(?P<f>f)", "feed", _C.all_of),
    (r"F?(?P<f>f)x?", "water_change", _C.fed),
    (r"F?(?P<f>f)", "headcount", _C.fed),
    # readings
    (r"(?P<q>q)@?(?P<s>[Pn])[:@]?(?P<c>[ng])", "", _C.measured),
    (r"(?P<q>q)@?(?P<s>[Pn])[:@]?(?P<qv>[ng](?:,?q:?[ng])+)", "", _C.measured),
    (r"(?P<s>[Pb])[:,]?(?P<qv>q[:@]?[ng](?:,?q[:@]?[ng])*(?:,g)?)", "", _C.measured),
    (r"(?P<s>n):?(?P<qv>(?:q[:@]?[ng],?){2,})", "", _C.measured),
    (r"(?P<s>n):?(?P<qv>q:?[ng])", "measure", _C.measured),
    (r"(?P<qv>q[:@]?[ng](?:,?q[:@]?[ng])*)@?(?P<s>P)", "", _C.measured),
    (r"(?P<qv>q[:@]?[ng](?:,?q[:@]?[ng])*)@(?P<s>n)", "", _C.measured),
    (r"(?P<qv>q:?[ng])", "measure", _C.measured),
    (r"(?P<s>[Pn])[:@>]?(?P<c>[ng])", "measure", _C.measured),
    (r"(?P<q>q):?(?P<c>[ng])@(?P<s>[Pn](?:,[Pn](?!@))*)", "", _C.measured),
    (r"(?P<c>[ng])@(?P<s>[Pn](?:,[Pn](?!@))*)", "measure", _C.measured),
    (r"(?P<s>P(?:,?P)+)(?P<q>q)(?P<c>[ng])", "", _C.measured),
    (r"(?P<s>[Pn])@?(?P<c>g)", "", _C.measured),
    (r"(?P<q>q)(?P<s>P(?:,?P)+):?(?P<vs>[ng](?:,?[ng])+)", "", _C.measured_in_order),
    (r"(?P<q>q)@?(?P<pairs>P[:@]?[ng](?:,?P[:@]?[ng])+)", "", _C.measured_in_order),
    (r"(?P<q>q)\*@?(?P<c>[ng])", "", _C.read_everywhere),
    (r"(?P<s>[Pn])@(?P<c>n)", "", _C.warm),
    (r"(?P<q>q)(?=:)", "", _C.read_of),
    # gear, cultures, mops put in
    (rf"d?(?P<i>i)@?(?P<s>{_MANY})K?,?[dk],?", "", _C.served),
    (rf"[dk]+(?P<i>i)@?(?P<s>{_MANY})", "", _C.served),
    (rf"(?P<i>i)@?(?P<s>{_MANY})", "", _C.listed_gear),
    (rf"(?P<s>{_MANY})", "service", _C.served_too),
    (r"(?P<s>P)k(?P<i>i)", "", _C.served),
    (r"k(?P<s>[Pn])(?P<i>i)", "", _C.served),
    (r"(?P<s>P)(?P<i>i)[kd]", "", _C.served),
    (r"(?P<c>[cf])(?P<sign>[FvjK]j?)f?", "", _C.cultured),
    (r"(?P<c>c)(?P<sign>[ok]o?)", "", _C.cultured),
    (rf"(?P<c>[cf])(?P<sign>v)[>@]*(?P<s>{_MANY})", "", _C.cultured),
    (rf"(?P<sign>v)(?P<c>[cf])(?:[>@]+(?P<s>{_MANY}))?", "", _C.cultured),
    (r"[kI]m?[<@]*", "", _C.mop),
    (r"m<?@?", "", _C.mop),
    (r"k(?P<c>n)@", "", _C.mop),
    (rf"I@*(?P<s>{_MANY})", "", _C.mops),
    (r"(?P<s>P)I@?", "", _C.mops),
    (r"m(?P<s>P)@", "", _C.mops),
    (rf"(?P<s>{_MANY})?=\+?(?:,?(?P<a>a)|,(?P<more>{_MANY})\+?)?", "", _C.same),
    (rf"i?@?(?P<s>{_ONE})z", "", _C.left_alone),
)  # fmt: skip
_END = r"(?=[,|:\nDT@Zfas?]|$)"  # a clause ends before a sign of another, or before talk
_PAIRS = r"(?=[,|:\nDT@Z?Pa]|$)"  # in rows of pairs the next place may follow at once
PATTERNS = [
    (
        re.compile(
            f"(?:{row})(?:{_PAIRS if topic in ('pull', 'bad_eggs', 'death', 'headcount', 'measure') else _END})"
        ),
        topic,
        tell,
    )
    for row, topic, tell in _ROWS
]
