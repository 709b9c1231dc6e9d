"""One horse's part of a note: sentences, corrections and units turned into facts in order."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from fieldlog.config import Settings
from fieldlog.core.facts import Due
from fieldlog.language.context.around import read_context
from fieldlog.language.context.comparisons import with_values
from fieldlog.language.context.reporters import read_off_films
from fieldlog.language.corrections.corrector import Corrector
from fieldlog.language.corrections.it_is_not import taken_to_be, with_last_denied
from fieldlog.language.corrections.spoken import plans as plans_of
from fieldlog.language.facts.copies import without_overruled
from fieldlog.language.facts.crack_names import named_again
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.merging import ask_two_values, merge_same
from fieldlog.language.facts.objects import with_objects
from fieldlog.language.facts.reading_work import SHOES
from fieldlog.language.facts.units_built import build_units
from fieldlog.language.facts.units_joined import join
from fieldlog.language.feet.late_feet import fill_back, graded_feet, without_excepted
from fieldlog.language.feet.places_carried import carried_places
from fieldlog.language.feet.tracker import FootTracker
from fieldlog.language.headless import headless
from fieldlog.language.lexicon import find_item
from fieldlog.language.plans.conditions import conditions
from fieldlog.language.plans.followups import share_due
from fieldlog.language.plans.plans_led import led_by_plan
from fieldlog.language.told import Told
from fieldlog.language.unit_told import SentenceUnits, tell_unit
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line


def _implied_shoe(told: Told, line: Line, begin: int, end: int) -> None:
    """ "Size twos in front": sizes with no job tell of a shoe."""
    marks = [m for m in line.marks if begin <= m.start < end]
    sizes = [m for m in marks if m.kind == "shoe_size"]
    if not sizes or any(m.kind == "work" and m.code in SHOES for m in marks):
        return
    if told.facts and told.facts[-1].code in SHOES and not any(m.kind == "foot" for m in marks):
        return
    for at, size in enumerate(sizes):
        stop = sizes[at + 1].start if at + 1 < len(sizes) else end
        begins = sizes[at - 1].end if at else begin
        if at and not any(m.kind == "foot" and begins <= m.start < stop for m in marks):
            continue
        head = Mark("work", "shoe", size.start, size.start, find_item("shoe", "work"))
        head.tags.add("implied")
        line.marks = in_order([*line.marks, head])


class PartReader:
    """Reads the words ``begin`` to ``end`` of a line as one horse's part.

    Args:
        line: the words and marks of the whole note.
        settings: the farrier's.
        times: the first time in a phrase.
        recorded: the day of the recording.
    """

    def __init__(
        self,
        line: Line,
        settings: Settings,
        times: Callable[[str], Due | None],
        recorded: date,
    ) -> None:
        self.line = line
        tracker = FootTracker()
        self.corrector = Corrector(line, tracker, times)
        self.told = Told(FactMaker(line, tracker, settings), recorded, self.corrector.log)

    def read(self, begin: int, end: int) -> Told:
        """All facts and corrections of the part."""
        plans = plans_of(self.line, begin, end)
        used = {id(m) for plan in plans for m in plan.used} | {id(p.mark) for p in plans}
        inner = [
            m
            for m in self.line.marks
            if begin <= m.start and m.end <= end and id(m) not in used and m.kind != "correction"
            and not any(p.mark.start <= m.start < p.end for p in plans)
        ]  # fmt: skip
        line = self.line.with_marks(inner)
        self.told.maker.line = line
        number = 0
        for low, high in line.sentences():
            low, high = max(low, begin), min(high, end)
            if low >= high:
                continue
            for plan in [p for p in plans if low <= p.mark.start < high]:
                self._segment(line, low, plan.mark.start, number)
                self.told.facts = self.corrector.apply(plan, self.told.facts, self.told.loose_foot)
                self.told.loose_foot = False
                low = max(plan.mark.end, plan.end)
                number += 1
            if low < high:
                number = self._unless_denied(line, low, high, number)
            number += 1
        placed = named_again(carried_places(self.told.facts, line))
        facts = with_values(read_off_films(merge_same(placed), line))
        self.told.facts = ask_two_values(facts)
        return self.told

    def _unless_denied(self, line: Line, begin: int, end: int, number: int) -> int:
        """Add the facts of words in which "it isn't" may deny what was told right before it.

        Returns:
            The number of the last stretch of words.
        """
        for at, after in taken_to_be(line, begin, end):
            self._segment(line, begin, at, number)
            self.told.facts, denied = with_last_denied(line, self.told.facts, at, after)
            self.told.corrections += denied
            begin, number = after, number + 1
        self._segment(line, begin, end, number)
        return number

    def _segment(self, line: Line, begin: int, end: int, number: int) -> None:
        """Add the facts of a sentence, or of what stands between two corrections."""
        if begin >= end:
            return
        _implied_shoe(self.told, line, begin, end)
        units, loose = build_units(line, begin, end, number, bool(self.told.tracker.in_hand))
        units = with_objects(line, units)
        if not units:
            headless(self.told, line, loose, begin, end)
            return
        self.told.loose_foot = False
        sentence = SentenceUnits(
            units, read_context(line, units), conditions(line, units), led_by_plan(line, units)
        )
        for at in range(len(units)):
            tell_unit(self.told, sentence, at)
        made = without_overruled(sentence.made)
        join(line, self.told.facts, made)
        share_due(line, made)
        fill_back(line, made, self.told.facts)
        graded_feet(made, self.told.facts)
        without_excepted(line, made)
        self.told.facts += [fact for _, fact in made]
