"""Where the eggs of several pulls went, taken down: each answer goes to its own question, or is asked about."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from bot import sentences as say
from bot.reply import Reply
from bot.talk import questions
from bot.talk.fresh_eggs import Lot, Put, corrects, heard, lots_of, may_tell
from bot.talk.going_on import FOR
from bot.talk.mending import MENDED_BACK, Mending
from bot.talk.questions import Asked
from shared.events import Corrected, FishMoved, RoutineSet
from storage.messages import OpenQuestion

_MEDIUM = re.compile(r"^(?:(?:into|in|no tub|none),? )*(?P<said>(?:damp |moist )?(?:peat|moss|coir|sphagnum))$")


class PuttingEggs(Mending):
    """A message that says of fresh eggs which tub they went to."""

    def _put_eggs(self, text: str) -> Reply | None:
        """Answers told by count, tank, batch or line; None where the words are none."""
        if medium := _MEDIUM.match(" ".join(text.casefold().split()).strip(" .!")):
            return self._put_damp(medium["said"])
        if not may_tell(text):
            return None
        asked = self._tubs_asked()
        if not asked and not corrects(text):  # nothing is left to put, and nothing to be mended
            return None
        lots = lots_of(self._last_notes(MENDED_BACK), set(asked))
        found = heard(text, [x for x in lots if x.waiting or self.now - x.entry.said <= FOR], self.standing)
        if found is None:
            return None
        for put in found.puts:
            if put.lot.waiting:
                self._put(put, asked[put.lot.batch])
            elif put.lot.put is not None:
                self._put_elsewhere(put.lot.put.seq, put)
        for words, tub in found.unclear:
            self._ask_whose(words, tub, [x for x in lots if x.waiting])
        return self._reply("log")

    def _put_damp(self, medium: str) -> Reply | None:
        """“Damp peat”, asked which tub: the eggs asked of last lie in that, and in no tub."""
        asked = self._tubs_asked()
        if not asked:
            return None
        batch, kept = max(asked.items(), key=lambda item: item[1].id)
        self.turn.settle(kept.id)
        self.said.settled = True
        self._log(RoutineSet(what="medium", batch=batch, value=medium), "", sure=True)
        return self._reply("log")

    def _tubs_asked(self) -> dict[str, OpenQuestion]:
        """The questions still open about which tub a batch went to, by batch."""
        found = {}
        for kept in self.turn.open_questions(self.message.person, self.message.chat):
            doubt = kept.body.get("doubt") or {}
            partial = doubt.get("partial") or {}
            fresh = self.now - kept.asked_at <= questions.OPEN_FOR
            if fresh and doubt.get("missing") == "to" and partial.get("stage") == "eggs" and partial.get("batch"):
                found[partial["batch"]] = kept
        return found

    def _put(self, put: Put, kept: OpenQuestion) -> None:
        """The eggs into their tub; into one that is not there only once it is set up."""
        raw: dict[str, Any] = {"kind": "move", "batch": put.lot.batch, "stage": "eggs"}
        if put.count is not None:
            raw["count"] = put.count
        self.said.settled = True
        at = Asked.of(kept.body).at
        if put.count is None:
            self.turn.settle(kept.id)
        if put.tub in self.standing.places:
            self._log(FishMoved.model_validate({**raw, "to": put.tub}), "", at=at, sure=True)
            return
        self.turn.settle(kept.id)
        again = questions.which_tub(put.lot.batch, self.standing, at)
        new = {"kind": "new_place", "place": put.tub, "role": "eggs"}
        options = ((f"set up {put.tub}", (new, {**raw, "to": put.tub})), *again.options)
        text = f"There is no {put.tub} here yet. Where do the {_eggs(put.lot)} go?"
        self.said.asked.append(replace(again, text=text, options=options))

    def _put_elsewhere(self, seq: int, put: Put) -> None:
        """They were said to be in another tub: that is mended."""
        if put.tub not in self.standing.places:
            self.said.lines.append(f"There is no {put.tub} here yet; nothing was changed. Set it up first.")
            return
        entries = self.turn.entries_numbered([seq])
        trouble = self._mended(Corrected.model_validate({"to": put.tub, "of": {"id": seq}}), entries)
        self.said.lines += [trouble] if trouble else []

    def _ask_whose(self, words: str, tub: str, lots: list[Lot]) -> None:
        """A number that is the count or tank of none of them, or of two."""
        moves: list[dict[str, Any]] = [{"kind": "move", "batch": x.batch, "stage": "eggs", "to": tub} for x in lots]
        options = [(f"all {_eggs(x)}" if len(lots) == 1 else _eggs(x), (m,)) for x, m in zip(lots, moves, strict=True)]
        some = int(words.split()[0]) if len(lots) == 1 and words.split()[0].isdigit() else 0
        if some and some < (lots[0].count or 0):
            options.append((f"{some} of them", ({**moves[0], "count": some},)))
        self.said.asked.append(Asked(f"“{words}”: which eggs go to {tub}?", self.now, (*options, ("none", ()))))


def _eggs(lot: Lot) -> str:
    where = f" of {lot.tank}" if lot.tank else ""
    return f"{say.count(lot.count, 'egg') if lot.count is not None else 'eggs'}{where} ({lot.batch})"
