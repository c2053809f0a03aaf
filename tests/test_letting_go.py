"""Whoever speaks of letting fish or their water out is told not to; a promise released is no such thing."""

from __future__ import annotations

import pytest

from bot.sentences import lets_go


@pytest.mark.parametrize(
    ("text", "warned"),
    [
        ("released 5 gardneri from tank 13 into the creek", True),
        ("can I release the extra medaka in the pond?", True),
        ("let 5 medaka go in the river", True),
        ("thinking of setting the old boys free at the lake", True),
        ("dumped the quarantine water in the canal", True),
        ("flushed the dead one down the toilet", True),
        ("release Lena's promise", False),
        ("Lena has cancelled, release her gularis", False),
        ("dumped 20% out of tank 3", False),
        ("let the tap run, then went to the pond shop", False),
    ],
)
def test_letting_fish_out_is_cautioned(text: str, warned: bool) -> None:
    assert lets_go(text) is warned
