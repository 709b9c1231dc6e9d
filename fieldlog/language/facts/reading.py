"""From units to facts: one fact of each unit, by the kind of its head."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.changed import changed
from fieldlog.core.facts import Comparison, Fact, FactKind, FootBasis, Reading, Trend
from fieldlog.language.context.head_context import Context
from fieldlog.language.facts.maker import FactMaker
from fieldlog.language.facts.reading_base import base_of, comparison_of
from fieldlog.language.facts.reading_feet import foot_compared
from fieldlog.language.facts.reading_findings import as_finding
from fieldlog.language.facts.reading_values import measurement, score_given, with_size_said
from fieldlog.language.facts.reading_work import as_work
from fieldlog.language.lexicon import find_item, word_set
from fieldlog.language.opinion.gist_marks import with_origin
from fieldlog.language.senses.work_words import nothing_else_done
from fieldlog.language.times.days_said import SMALL, TENS
from fieldlog.language.values.kinds import Value
from fieldlog.language.values.wanted import wanted
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token
from fieldlog.language.words.units_said import UnitSaid


def make_fact(maker: FactMaker, unit: UnitSaid, context: Context) -> Fact | None:
    """The fact of a unit (follow-ups are made elsewhere)."""
    kind = unit.head.kind
    if kind == "work" and unit.head.code == "examine" and context.negated:
        unit.head.kind, unit.head.code = "finding", "not_examined"
        unit.head.item = find_item("not_examined", "finding")
        context.negated = False
    if kind == "value":
        return None if wanted(maker.line, unit.head) else measurement(maker, unit, context)
    if kind == "score":
        return score_given(maker, unit, context)
    if kind == "change":
        return _change(maker, unit, context)
    if kind in ("finding", "work", "handling", "advice"):
        return _plain(maker, unit, context)
    return None


def _plain(maker: FactMaker, unit: UnitSaid, context: Context) -> Fact | None:
    """A finding, a job, handling or advice."""
    head = unit.head
    if head.kind == "work" and nothing_else_done(maker.line, head):
        return None
    kind = FactKind(head.kind)
    item = head.item
    code = str(item.more.get("emits", head.code)) if item else head.code
    if item is not None and item.plain and _denies_itself(maker, head):
        context.negated = False  # "that foot's not open, she'd nothing on"
    fact = base_of(maker, unit, context, kind, code)
    if item is not None and item.more.get("emits_negated"):
        fact = changed(fact, negated=not context.negated)
    if code == "normal" and context.negated:
        # "Not happy with the heels" tells of no fault; the words stay as a passage.
        return None
    fact = changed(fact, rule=f"lexicon:{_row(head)}", severity=context.severity)
    fact = with_origin(fact, head)
    if kind is FactKind.FINDING:
        fact = as_finding(maker, fact, unit)
    elif kind is FactKind.WORK:
        fact = as_work(maker, fact, unit, context)
    elif kind in (FactKind.HANDLING, FactKind.ADVICE):
        fact = changed(fact, severity=None)
        if kind is FactKind.ADVICE:
            fact = _advice(maker, fact, unit)
    fact = with_size_said(maker, fact, unit)
    if context.list_unsure:
        fact = fact.with_doubt(
            "competing_readings", "It is unclear whether the “no” before reaches this word."
        )
        fact = changed(fact, readings=(*fact.readings, Reading("seen", {"negated": False})))
    return fact


def _denies_itself(maker: FactMaker, head: Mark) -> bool:
    """Whether a head's own words say what is not: another's "not" does not turn them."""
    return not _NAYS.isdisjoint(map(maker.line.norm, head.covers()))


_NAYS = frozenset({"no", "not", "nothing", "none", "never", "without", "didn't", "couldn't"})


def _row(head: Mark) -> str:
    """The row of the vocabulary that a head's words are in: its id, or a plain row's own."""
    if "plain" in head.tags:
        return f"{head.code}:plain"
    return head.item.id if head.item is not None and head.item.plain else head.code


def _advice(maker: FactMaker, fact: Fact, unit: UnitSaid) -> Fact:
    """To whom: the person named right after "spoke to", "told"."""
    at = unit.head.end
    roles = word_set("people") - {"vet"}  # "told her vet tonight"
    hers = maker.line.norm(at) == "her" and maker.line.norm(at + 1) not in roles
    if hers or maker.line.norm(at - 1) in _PRONOUNS:
        return fact  # "told her eight weeks"; but "told her groom"
    if maker.line.norm(at) in ("the", "his", "her", "my"):
        at += 1
    word = maker.line.words[at] if at < len(maker.line.words) else None
    if word is None or word.sort != "word":
        return fact
    known = word.norm in ("owner", "client", "vet")
    if not known and _is_nobody(word):
        return fact
    name = word.norm
    if name not in word_set("people"):
        name = name[:1].upper() + name[1:]
    end = max(fact.span[1], word.end)
    return changed(fact, details={**fact.details, "to": name}, span=(fact.span[0], end))


_PRONOUNS = frozenset({"her", "him", "them", "'em"})


def _is_nobody(word: Token) -> bool:
    """ "Told eight of them", "mentioned hay": a number or a word of talk names nobody."""
    if word.norm in word_set("people"):
        return False
    counted = word.norm in SMALL or word.norm in TENS or len(word.norm) < 2
    return counted or not word.norm.isalpha() or word.norm in word_set("never_a_name")


def _change(maker: FactMaker, unit: UnitSaid, context: Context) -> Fact | None:
    """How something told before has changed, or that it has not."""
    context.negated = False
    sick_before = maker.tracker.sick
    code = "better_shape" if unit.head.code == "better" else "change"
    fact = base_of(maker, unit, context, FactKind.FINDING, code)
    if unit.head.code == "denied_here":
        return changed(fact, rule="denied_here")
    if unit.head.code == "denied":
        return fact if fact.foot_basis is not FootBasis.CARRIED else None
    if unit.head.code == "again":
        said = unit.head.value
        if isinstance(said, Value):
            return changed(fact, quantity=said.quantity, severity=context.severity)
        new = None
        if "new" in unit.head.tags or unit.has("new"):
            new = Comparison(Trend.NEW)
        return changed(fact, severity=said or context.severity, comparison=new)
    if "does" in unit.head.tags:
        return with_size_said(maker, fact, unit)
    comparison = comparison_of(maker, unit)
    if comparison is None:
        return None
    back = {maker.line.norm(i) for i in unit.head.covers()} >= {"back"}
    led = any(m.start < unit.head.start for m in unit.of("place"))
    if comparison.trend is Trend.WORSE and back and led:
        # heels and frogs that come back are on the mend
        comparison = replace(comparison, trend=Trend.BETTER)
    told_against = foot_compared(maker, unit) or unit.has("against_last")
    words = {maker.line.norm(i) for m in (unit.head, *unit.roles("better")) for i in m.covers()}
    said_same = unit.head.code == "same"  # "same on the off but not so bad" is told
    if "bad" in words and unit.feet() and sick_before not in ((), fact.feet) and not said_same:
        # "the other one's not as bad": as bad as the foot before
        return None
    if code == "better_shape" and not told_against:
        fact = changed(fact, rule="compare:better")
        return with_size_said(maker, fact, unit)
    fact = changed(fact, comparison=comparison, rule=f"compare:{comparison.trend}")
    return with_size_said(maker, fact, unit)
