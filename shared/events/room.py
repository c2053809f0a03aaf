"""The room itself: places, lines, batches and cultures set up, closed, called anew, and the words for them."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import Field

from shared.events.form import Said, Stage


class PlaceOpened(Said):
    """A tank or tub set up."""

    kind: Literal["new_place"] = "new_place"
    place: str
    vessel: str | None = None  # tank, tub, jar, bag: its sort, where the name does not say
    litres: float | None = Field(None, gt=0)
    line: str | None = None
    role: str | None = None
    collect: str | None = None


class PlaceClosed(Said):
    """A tank or tub taken out of use."""

    kind: Literal["close_place"] = "close_place"
    place: str


class LineOpened(Said):
    """A line (or strain) the room keeps. `eggs` is the usual medium: water or peat."""

    kind: Literal["new_line"] = "new_line"
    line: str
    species: str | None = None
    eggs: str | None = None
    population: str | None = None
    generation: str | None = None
    aka: tuple[str, ...] = ()


class BatchOpened(Said):
    """A batch that stood in the room when it was written down, or was opened by hand."""

    kind: Literal["new_batch"] = "new_batch"
    batch: str
    line: str
    place: str
    stage: Stage
    count: int | None = Field(None, ge=0)
    estimated: bool = False
    laid_from: dt.date | None = None
    laid_to: dt.date | None = None
    hatched: dt.date | None = None
    medium: str | None = None
    generation: str | None = None


class CultureOpened(Said):
    """A live-food culture the room keeps."""

    kind: Literal["new_culture"] = "new_culture"
    culture: str


class WordTaught(Said):
    """A word the keeper uses for a place, line, batch or culture."""

    kind: Literal["word"] = "word"
    word: str
    means: str


class Renamed(Said):
    """A tank, tub, line or culture is called anew; all that is on record of it goes on under the new name."""

    kind: Literal["rename"] = "rename"
    old: str
    new: str
