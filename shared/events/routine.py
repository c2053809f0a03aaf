"""The routine: set otherwise, reminded of, done, put off; and what was logged taken back or put right."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from shared.events.form import Placed, Said


class RoutineSet(Placed):
    """A standing change to the routine: what, to which value, for where, and for which days or people."""

    kind: Literal["setting"] = "setting"
    line: str | None = None
    what: str
    value: float | int | str | bool | None = None
    weekday: str | None = None
    slot: str | None = None
    person: str | None = None
    from_: str | None = Field(None, alias="from")
    to: str | None = None


class ReminderAsked(Said):
    """A task of the keeper's own."""

    kind: Literal["remind"] = "remind"
    text: str = ""
    every_days: float | None = Field(None, gt=0)
    month_day: int | None = Field(None, ge=1, le=31)  # of every month; the last where it has fewer
    place: str | None = None
    batch: str | None = None


class TaskDone(Placed):
    """A due task is done, without saying it as its own event; `ends`: a reminder that is not wanted any more."""

    kind: Literal["done"] = "done"
    task: str = ""
    ends: bool | None = None


class TaskPutOff(Said):
    """A due task put off until `date` and `time`."""

    kind: Literal["snooze"] = "snooze"
    task: str = ""
    place: str | None = None
    batch: str | None = None


class Undone(Said):
    """Take back what the last note logged; `renamed`: what is called again as before, from which name to which."""

    kind: Literal["undo"] = "undo"
    renamed: tuple[tuple[str, str], ...] = ()


class Corrected(BaseModel):
    """The last note's entry was wrong: only the corrected keys, with the right value; `of` says which entry."""

    model_config = ConfigDict(frozen=True, extra="allow", populate_by_name=True, defer_build=True)
    kind: Literal["fix"] = "fix"

    @property
    def changes(self) -> dict[str, Any]:
        """The corrected keys in the outside form, `kind` and `of` left out."""
        return {k: v for k, v in (self.model_extra or {}).items() if k != "of" and v is not None}

    @property
    def of(self) -> dict[str, Any] | None:
        raw = (self.model_extra or {}).get("of")
        return raw if isinstance(raw, dict) else None

    def outside(self) -> dict[str, Any]:
        return {"kind": "fix", **(self.model_extra or {})}
