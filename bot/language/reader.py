"""Reads a note: what it tells, what it asks, and what of it must be asked before anything is believed."""

from __future__ import annotations

import datetime as dt
import re

from bot.language.asking.asked import QUESTIONING, placeless_reading, plain_query, question_of, sum_query
from bot.language.asking.asked_plainly import asked_plainly
from bot.language.asking.questions import no_question
from bot.language.asking.unmarked import asked_flatly
from bot.language.asking.which_sum import sum_asked
from bot.language.clauses.cutting import sentences_of
from bot.language.clauses.group import Group
from bot.language.clauses.joining import cut_at_reminders
from bot.language.clauses.subjects import subjects_are_places
from bot.language.clauses.told_and_asked import cut_at_questions
from bot.language.doubts import caution, heard_twice, leftovers, second_look, second_opinion, unfamiliar
from bot.language.doubts.likely import as_written, taken_for, with_choices
from bot.language.doubts.owed import more_than_talk, owed
from bot.language.doubts.trust import Both
from bot.language.doubts.unread_lines import ask_half_told, ask_unread
from bot.language.kept_out.negative import below_nothing
from bot.language.kept_out.sayings import unsay
from bot.language.kept_out.small_talk import SAID_ASIDE
from bot.language.learnt.second_reading import FirstReading
from bot.language.reading import Doubt, Outcome, Query, Reading, Span
from bot.language.remarks import ailing, remark, worth_keeping
from bot.language.scene import Part, Sentence
from bot.language.sentences import tell_note
from bot.language.tags import Tag, Tagger
from bot.language.telling import Teller
from bot.language.text.names import Names
from bot.language.text.slips import mend_slips
from bot.language.times.dating import finished
from shared.events import Event

LONGEST = 6000  # characters of one note; more is asked for in parts, never cut


class Reader:
    """Reads notes against the names of one room. Knows no clock and no database.

    `twice`: with a second reading, learnt from notes, where the first is not sure.
    """

    def __init__(self, names: Names, *, twice: bool = True) -> None:
        self.names, self.twice = names, twice

    def read(self, text: str, sent: dt.datetime) -> Reading:
        """The meaning of a note sent at a local time. Never raises, whatever the text."""
        if len(text) > LONGEST:
            return _not_read(text, "That is too much for one note. Could you send it in parts?")
        try:
            return self._read(text, sent)
        except Exception:  # whatever is wrong with us, the keeper is asked and the note is kept
            return _not_read(text, "I could not read that. Could you say it differently?")

    def complete(self, doubt: Doubt, answer: str, sent: dt.datetime) -> Reading | None:
        """What an answer to a question makes of the doubtful event; None when the answer is a note of its own."""
        from bot.language.mending.completing import completed

        return completed(self, doubt, answer, sent)

    def told(self, text: str, sent: dt.datetime) -> tuple[Tagger, list[Sentence], Teller, Query | None]:
        """A note's sentences, and what they tell and ask before any of it is doubted."""
        tagger = Tagger(self.names, text, sent)
        teller = Teller(self.names, sent, all_tags=tagger.tags, words=tagger.words)
        teller.written = lambda tags: as_written(tags, tagger, text)
        unsay(tagger.tags)
        mend_slips(tagger.tags)
        tagger.unclaimed = [tag.copy() for tag in tagger.tags]
        sentences = cut_at_reminders(sentences_of(tagger.tags, self.names))
        subjects_are_places(sentences, self.names)
        sentences = cut_at_questions(sentences, teller)
        return tagger, sentences, teller, tell_note(sentences, teller)

    def both(self, text: str, sent: dt.datetime) -> Both:
        """The reading of the rules beside that of the net, before it is settled which to trust."""
        first, rules, _, _ = self._heard(text, sent)
        return first.both(rules)

    def first_reading(self, text: str, sent: dt.datetime) -> FirstReading:
        """What the rules make of a note, as the net is shown it."""
        first, rules, _, _ = self._heard(text, sent)
        return first.ending(rules.outcome)

    def _read(self, text: str, sent: dt.datetime) -> Reading:
        first, rules, teller, tagger = self._heard(text, sent)
        return heard_twice.settled(first, rules, teller, tagger) if self.twice else rules

    def _heard(self, text: str, sent: dt.datetime) -> tuple[heard_twice.First, Reading, Teller, Tagger]:
        """A note as it was before any of it was doubted, and as the rules read it."""
        tagger, sentences, teller, query = self.told(text, sent)
        aside = {tag.at for tag in tagger.tags if tag.note == SAID_ASIDE}
        first = heard_twice.First(
            text,
            sent,
            self.names,
            tagger.unclaimed,
            [tag for tag in tagger.unclaimed if tag.at not in aside],
            any(part.muted for sentence in sentences for part in sentence.parts),
            tuple(teller.events),
            bool(teller.doubts),
            query,
        )
        return first, self._by_rules(text, sent, tagger, sentences, teller, query), teller, tagger

    def _by_rules(
        self,
        text: str,
        sent: dt.datetime,
        tagger: Tagger,
        sentences: list[Sentence],
        teller: Teller,
        query: Query | None,
    ) -> Reading:
        one = len(sentences) == 1
        # Words that ask for a sum or of the record log nothing, however much they sound like a chore.
        if (query is None and one) or (teller.doubts and not teller.events):
            if about := sum_asked(text):
                return Reading("answer", (), sum_query(about, tagger.tags), (), _spans(tagger, text))
            if query is None and one and (about := asked_plainly(text)):
                query = plain_query(about, tagger.tags, Teller(self.names, sent), sentences[0].parts)
                return Reading("answer", (), query, (), _spans(tagger, text))
        leftovers.guard(sentences, teller, teller.asked)
        caution.signs_left(sentences, teller)
        second_look.look(sentences, teller)
        ask_half_told(sentences, teller)
        ask_unread(sentences, teller)
        events, below = below_nothing(text, finished(teller))
        events = tuple(_as_written(event, text) for event in events)
        teller.doubts += below
        query = _asked_after_all(query, events, sentences, teller, tagger)
        doubts = tuple(teller.doubts)
        if not events and not query and not doubts:
            doubts = _owed(sentences, teller)
            if not doubts and not teller.quiet and worth_keeping(text, sentences, tagger.tags, self.names):
                if any(
                    s.stop != "." and not no_question(s.text()) and asked_flatly(s.text(), s.tags, heads=True)
                    for s in sentences
                ):
                    doubts = (
                        Doubt(text[:200], "What would you like to know? Could you ask it differently?", (), "kind"),
                    )
                elif _between_places(sentences, tagger.tags):
                    doubts = (Doubt(text[:200], "Did fish or eggs go from one place to another? Which?", (), "kind"),)
                else:
                    events = (remark(tagger.tags, text, self.names),)
        if events and not doubts:
            events, doubts = second_opinion.too_early(events, text, sent.hour)
        if events and not doubts and not query and _sounds_asked(sentences, teller):
            events, doubts = (), (taken_for(events, teller, tagger, text, "Is it done, or do you ask?"),)
        if events and not doubts and not (_whole(teller) or _only_kept(events, sentences)):
            told_tags = [t for t in tagger.tags if t.note != SAID_ASIDE]
            live = [t for s in sentences for p in s.parts if not (p.muted or p.asks or s.after) for t in p.tags]
            events, doubts = second_opinion.doubted(events, query is not None, told_tags, text, live)
        if (
            events
            and not doubts
            and not _whole(teller)
            and unfamiliar.hard_to_believe(events, _where_told(sentences, teller))
        ):
            question = "I may not have understood all of that. Is it this?"
            events, doubts = (), (taken_for(events, teller, tagger, text, question),)
        kept = any(e.kind == "remark" for e in events)
        if events and not doubts and not query and not kept and (ill := ailing(sentences, teller)) is not None:
            events = (*events, remark(ill.tags, text, self.names))
        doubts = tuple(with_choices(list(doubts), sentences, teller, tagger, text))
        return Reading(_outcome(events, query, doubts), events, query, doubts, _spans(tagger, text))


def _whole(teller: Teller) -> bool:
    """Whether all that is told was understood to the last word."""
    return bool(teller.events) and all(e.get("_whole") for e in teller.events)


_IS_SO = frozenset(["is", "are", "looks", "look", "smells", "seems", "has", "have", "was", "were"])


def _says_how_it_is(part: Part) -> bool:
    """Whether a short clause has a verb of being and no sign of a deed: "microworm 1 looks thin"."""
    return len(part.tags) <= 9 and bool(part.words() & _IS_SO) and not part.senses_cue() and not part.sense("quantity")


def _only_kept(events: tuple[Event, ...], sentences: list[Sentence]) -> bool:
    """Whether a short note is kept as a remark because all of it is a plan, a wish or a denial."""
    parts = [p for s in sentences for p in s.parts]
    if all(e.kind == "remark" for e in events) and len(parts) == 1 and _says_how_it_is(parts[0]):
        return True
    why = {p.muted for p in parts}
    return all(e.kind == "remark" for e in events) and len(parts) <= 2 and why <= {"plan", "not", "wish", "if"}


def _between_places(sentences: list[Sentence], tags: list[Tag]) -> bool:
    """Whether one short sentence names fish or eggs and two places, and nothing that is to come, asked or denied."""
    if {t.word for t in tags} & {"look", "looks", "looking", "like", "than", "compared", "as"}:
        return False  # one is only set beside the other
    if len(sentences) > 2 or len(tags) > 24 or any(p.muted or p.asks for s in sentences for p in s.parts):
        return False
    spots = {t.value if t.kind == "batch" else t.value[0] for t in tags if t.kind in ("place", "batch") and t.value}
    fish = any(
        t.kind in ("line", "batch") or t.says("noun", "eggs", "fry", "fish", "male", "female", "pair") for t in tags
    )
    return fish and len(spots) > 1


# "Pull the mop in 3 or leave it", "feeding 7 in a sec"
_UNDECIDED = re.compile(
    r"\bor (?:leave|not|wait|skip|should|too)\b|\bin a (?:sec|second|min|minute|moment|bit)\b(?! of)"
)


def _sounds_asked(sentences: list[Sentence], teller: Teller) -> bool:
    """Whether what a deed is told by asks or is still to come: "sold 4 to Lena?", "pull the mop in 3 or leave it"."""
    deeds = {e["_sentence"] for e in teller.events if e["kind"] in second_opinion.DEEDS and "_sentence" in e}
    if any(id(s) in deeds and _UNDECIDED.search(s.text()) for s in sentences):
        return True
    asked = [s for s in sentences if s.stop == "?" and s.parts]
    for event in teller.events:
        its = next((s for s in asked if id(s) == event.get("_sentence")), None)
        if its is None or event["kind"] not in second_opinion.DEEDS:
            continue
        last = its.parts[-1]
        if last.tags[0].word == "or" or not event.get("_group_parts") or any(p is last for p in event["_group_parts"]):
            return True
    return False


def _where_told(sentences: list[Sentence], teller: Teller) -> list[Tag]:
    """The words of the sentences that events come from, without what was surely said aside."""
    its = {e.get("_sentence") for e in teller.events}
    return [t for s in sentences if id(s) in its for t in s.tags if t.note != SAID_ASIDE]


def _as_written(event: Event, text: str) -> Event:
    """A loss without its cause when the note does not spell it so: a slip mended is a guess."""
    cause = getattr(event, "cause", None)
    if cause is None or any(word in text.lower() for word in str(cause).split() if len(word) > 2):
        return event
    return event.model_copy(update={"cause": None})


def _not_read(text: str, question: str) -> Reading:
    return Reading("ask", (), None, (Doubt(text[:200], question, (), "kind"),))


def _asked_after_all(
    query: Query | None, events: tuple[Event, ...], sentences: list[Sentence], teller: Teller, tagger: Tagger
) -> Query | None:
    """What a note asks that only shows once it is known to tell nothing; a place nobody knows becomes a doubt."""
    if not events and not query and not teller.doubts and sentences and sentences[-1].stop == "?":
        query = question_of(sentences[-1], teller, sentences[-1].tags)
    if not teller.doubts and not query and not any(e.kind in ("new_place", "remind") for e in events):
        idle = {id(t) for s in sentences for part in s.parts if part.muted in ("plan", "if", "wish") for t in part.tags}
        strange = (
            t
            for t in tagger.tags
            if id(t) not in idle and t.kind == "place" and not t.value and t.note and t.note != "quoted"
        )
        if (unknown := next(strange, None)) is not None:
            teller.ask_place(Group([Part([unknown])], teller.names, teller.context), {"kind": "remark"})
    if query is None or query.about in ("advice", "place", "ammonia"):
        query = placeless_reading(events, teller, tagger.tags) or query
    if (
        not events
        and not query
        and not teller.doubts
        and len(tagger.tags) <= 12
        and QUESTIONING.search(" ".join(t.word for t in tagger.tags))
    ):
        query = question_of(sentences[-1], teller, [t for s in sentences for t in s.tags])
    return query


def _owed(sentences: list[Sentence], teller: Teller) -> tuple[Doubt, ...]:
    """What is asked of a note that told and asked nothing, though it sounds as if it should."""
    if (odd := leftovers.unclear(sentences)) is not None:
        return (leftovers.question_for(odd, []),)
    if not teller.quiet and (owing := owed(sentences, teller)) is not None:
        return (owing,)
    if not teller.quiet and (owing := more_than_talk(sentences)) is not None:
        return (owing,)
    return ()


def _outcome(events: tuple[Event, ...], query: Query | None, doubts: tuple[Doubt, ...]) -> Outcome:
    if doubts:
        return "ask"
    if events:
        return "both" if query else "log"
    return "answer" if query else "none"


def _spans(tagger: Tagger, text: str) -> tuple[Span, ...]:
    out = []
    for tag in tagger.tags:
        if tag.kind in ("word", "punct", "stop", "sep") and not tag.claimed:
            continue
        first = tagger.tokens[tagger.items[tag.at].first]
        last = tagger.tokens[tagger.items[min(tag.upto, len(tagger.items)) - 1].last]
        name = tag.kind if tag.kind != "lex" else next(iter(tag.senses), "word")
        out.append(Span(first.start, last.end, text[first.start : last.end], name))
    return tuple(out)
