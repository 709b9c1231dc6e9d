"""Negation, doubt, history, reporter and comparison: what the words around a head do to it.

Triggers and their look-alikes are data (``context.toml``). Scope is decided here: a trigger
before a head reaches that head and runs on along a list ("no thrush, cracks or heat") until
something positive starts (an article, "got a", "but", another foot); doubt words at the end of a
clause reach back. A disease word from the farrier is always a suspicion.
"""

from __future__ import annotations

from dataclasses import dataclass

from fieldlog.core.facts import Reporter, Severity
from fieldlog.language.lexicon import word_set
from fieldlog.language.marks import Mark
from fieldlog.language.reporters import films_before
from fieldlog.language.units_said import SEVERITIES, Line, UnitSaid

NEGATIONS = ("negation", "work_negation")
_MASS = frozenset({"thrush", "heat", "swelling", "digital_pulse", "sore", "discharge", "canker",
                   "bleeding", "lameness", "bad_smell", "laminitis", "founder", "tester_positive",
                   "white_line_disease", "white_line_separation"})  # fmt: skip


@dataclass(slots=True)
class Context:
    """What the surroundings say of one head."""

    negated: bool = False
    list_unsure: bool = False
    """The negation reached this head only by running along a list without "or"."""
    uncertain: bool = False
    historical: bool = False
    reporter: Reporter = Reporter.FARRIER
    severity: Severity | None = None
    planned: bool = False


_MILD_INSIDE = frozenset({"bit", "little", "touch", "slightly"})
_BAD_INSIDE = frozenset({"badly", "awful", "awfully", "terrible", "terribly", "shocking"})
_GOES_ON = word_set("negation_goes_on")
_NOT_INSIDE = frozenset({"isn't", "aren't", "wasn't", "not", "hasn't", "haven't", "hadn't",
                         "didn't"})  # fmt: skip
_GOOD = frozenset({"normal", "tester_negative", "pulse_normal", "sound", "better_shape",
                   "axis_straight", "stood_well"})  # fmt: skip
"""What is denied does not run on to good news: "no corns, soles nice and firm"."""


def _bridge_is_list(line: Line, left: UnitSaid, right: UnitSaid) -> str:
    """How two heads are joined: ``or``, ``and``, ``comma``, ``bare`` or empty if they are not."""
    begin, end = left.head.end, right.head.start
    if any("of" in {line.norm(i) for i in m.covers()} for m in right.roles("mild")):
        return ""
    words = list(line.words[begin:end])
    allowed = {"or", "nor", "and", ",", "any", "other", "even", "either"}
    attributes = {
        i
        for m in (*left.after, *right.before)
        if m.kind in ("place", "side") or (m.kind == "role" and m.code in ("joint", *SEVERITIES))
        for i in range(m.start, m.end)
    }
    rest = [
        w.norm
        for i, w in enumerate(words, begin)
        if i not in attributes and w.sort != "comma" and w.norm not in allowed
    ]
    if any(word not in ("in", "at", "the", "on", "of") or not attributes for word in rest):
        return ""
    norms = {w.norm for w in words}
    if norms & {"or", "nor"}:
        return "or"
    if "and" in norms:
        return "and"
    return "comma" if any(w.sort == "comma" for w in words) else "bare"


def mark_negation(line: Line, units: list[UnitSaid], found: list[Context]) -> None:
    """Set ``negated`` on the contexts of one sentence's units."""
    direct = [_negated_here(line, unit) for unit in units]
    alone = [
        unit.head.item is not None and bool(unit.head.item.more.get("emits_negated"))
        for unit in units
    ]
    at = 0
    while at < len(units):
        found[at].negated = found[at].negated or direct[at]
        if not direct[at] or units[at].head.kind != "finding":
            at += 1
            continue
        run = [at]
        joins: list[str] = []
        following = at + 1
        while following < len(units) and units[following].head.kind == "finding":
            if (
                direct[following]
                or alone[following]
                or units[following].head.code in _GOOD
                or (units[following].feet() and _pre_foot(units[following]))
            ):
                break
            join = _bridge_is_list(line, units[following - 1], units[following])
            if not join:
                break
            joins.append(join)
            run.append(following)
            following += 1
        last_or = max((i for i, j in enumerate(joins) if j == "or"), default=-1)
        last_joint = max((i for i, j in enumerate(joins) if j in ("or", "and")), default=-1)
        for place, index in enumerate(run[1:]):
            join = joins[place]
            if place > last_or and _asserted(units[index]):
                break
            if place <= last_or or join in ("and", "comma"):
                found[index].negated = True
            elif join == "bare" and (place < last_joint or _listy(line, units[index])):
                found[index].negated = found[index].list_unsure = True
            else:
                break
        at = run[-1] + 1 if len(run) > 1 else at + 1
    _reach_back(line, units, found)


_SHAPES = frozenset(
    {
        "underrun", "contracted_heel", "crushed_heel", "sheared_heel", "low_heel", "high_heel",
        "long_toe", "clubby", "imbalance", "overgrown", "mismatched", "flat_sole", "dropped_sole",
        "axis_broken_back", "axis_broken_forward", "toed_in", "toed_out",
    }
)  # fmt: skip
"""How a foot is; behind "no heat," it is rather the next thing seen."""


def _asserted(unit: UnitSaid) -> bool:
    """ "No heat, small crack", "no corns and contracted heels": not denied any more."""
    if unit.head.code in _SHAPES:
        return True
    sized = any(m.end <= unit.head.start for m in unit.roles(*SEVERITIES))
    return sized or unit.has("better", "worse", "same", "growing_out", "larger", "smaller")


def _reach_back(line: Line, units: list[UnitSaid], found: list[Context]) -> None:
    """ "Heat, swelling and pulse absent": a denial behind a list is of all that it lists."""
    for at, unit in enumerate(units):
        if not any(m.start >= unit.head.end for m in unit.roles("negation_after")):
            continue
        joined = False
        for back in range(at - 1, -1, -1):
            join = _bridge_is_list(line, units[back], units[back + 1])
            joined = joined or join in ("and", "or")
            if not joined or join not in ("and", "or", "comma"):
                break
            if units[back].head.kind != "finding" or units[back].has(*SEVERITIES):
                break
            found[back].negated = True


def _listy(line: Line, unit: UnitSaid) -> bool:
    """A plural or mass word reads as one more item of a list; a single crack does not."""
    return unit.head.code in _MASS or line.norm(unit.head.end - 1).endswith("s")


def _pre_foot(unit: UnitSaid) -> bool:
    return any(m.kind == "foot" for m in unit.before)


_NOT_DONE = frozenset({"need", "get", "able", "bother", "going", "gonna", "want", "held", "hold",
                       "holding", "skipped", "skipping", "decided"})  # fmt: skip
_NO_WORRY = frozenset({"worry", "worried", "worrying", "reason", "cause", "fuss", "concern",
                       "because", "until", "unless", "before", "bothered", "happy"})  # fmt: skip


def _negated_here(line: Line, unit: UnitSaid) -> bool:
    item = unit.head.item
    if item is not None and item.more.get("may_say_not"):
        inside = {line.norm(i) for i in unit.head.covers()}
        if inside & _NOT_INSIDE:
            return True
    if line.norm(unit.head.end) == "free" and unit.head.kind == "finding":
        return True
    if unit.head.kind == "finding" and any(
        m.start >= unit.head.end for m in unit.roles("negation_after")
    ):
        return True
    spared = any("all_but" in m.tags for m in unit.of("foot"))
    if not spared and any(m.start >= unit.head.end for m in unit.roles("except")):
        return False
    if any(m.kind == "foot" and line.norm(m.start) in ("neither", "none") for m in unit.before):
        return True
    for trigger in (m for m in unit.before if m.kind == "role" and m.code in NEGATIONS):
        between = [m for m in unit.before if m.start >= trigger.end]
        if any(
            m.kind == "role" and m.code == "starter" and line.norm(m.start) not in _GOES_ON
            for m in between
        ):
            continue
        if any(m.kind == "foot" and line.norm(m.start - 1) not in ("on", "in", "the", "of")
               and trigger.end != m.start for m in between):  # fmt: skip
            continue
        far = unit.head.start - trigger.end
        if unit.head.kind == "finding" and trigger.code == "work_negation" and far > 2:
            # "she won't take nails, thin soles"
            continue
        if far > (1 if item and item.more.get("emits_negated") else 7):
            continue
        if unit.head.kind == "advice":
            continue
        said = {line.norm(i) for i in trigger.covers()}
        if unit.head.kind == "finding" and said & _NOT_DONE:
            # "no need to treat the thrush": the thrush is there
            continue
        if {line.norm(i) for i in range(trigger.end, unit.head.start)} & _NO_WORRY:
            continue
        if unit.head.kind == "work" and unit.head.start - trigger.end > 3:
            continue
        if unit.head.kind == "handling" and unit.head.start - trigger.end > 1:
            continue
        return True
    return False


def read_context(line: Line, units: list[UnitSaid]) -> list[Context]:
    """The contexts of one sentence's units, in order."""
    found = [Context() for _ in units]
    mark_negation(line, units, found)
    reporter = Reporter.FARRIER
    for left, right, one, two in zip(units, units[1:], found, found[1:], strict=False):
        if left.head.kind == right.head.kind == "finding" and _alternative(line, left, right):
            # "a bruise or an abscess": what is not denied is open
            open_ = not one.negated and not two.negated and left.head.code != right.head.code
            one.uncertain = one.uncertain or open_
            two.uncertain = two.uncertain or open_
    for at, (unit, context) in enumerate(zip(units, found, strict=True)):
        reporter = _reporter(line, unit, units[at - 1] if at else None, reporter, at)
        context.reporter = reporter
        before = units[at - 1] if at else None
        context.uncertain = context.uncertain or _unsure(line, unit, before, found, at)
        context.uncertain = context.uncertain and unit.head.kind != "advice"
        context.historical = _historical(line, unit, reporter) or (
            reporter in (Reporter.OWNER, Reporter.OTHER)
            and unit.head.kind == "finding"
            and unit.head.code != "shoe_lost"
            and any(_was(line, i) for i in range(_told(unit), unit.head.end))
        )
        if unit.head.kind == "value" and _was_once(line, units, at):
            context.historical = True
        context.severity = None if context.negated else _severity(line, unit)
        context.planned = _planned(unit)
    return found


def _was(line: Line, at: int) -> bool:
    """A past form; "has been stumbling" is still so."""
    word = line.norm(at)
    if word in ("was", "were"):
        return True
    done = word in ("been", "had") or word.endswith("ed")
    return done and line.norm(at - 1) in ("had", "'d")


def _was_once(line: Line, units: list[UnitSaid], at: int) -> bool:
    """ "Forty-one, was thirty-nine": of two values, the one that was."""
    back = units[at].head.start - 1
    while line.norm(back) in ("about", "at", "around", "up", "down"):
        back -= 1
    if at == 0 or units[at - 1].head.kind != "value":
        return False
    lead = line.norm(units[at].head.start - 2)
    risen = line.norm(units[at].head.start - 1) == "from" and lead in ("up", "down")
    return risen or line.norm(back) in ("was", "were")


def _told(unit: UnitSaid) -> int:
    """Where the words begin that are told of, behind "the owner says"."""
    return max([unit.start, *(m.end for m in unit.before if m.code in _SAYERS)])


_SAYERS = {"farrier_says": Reporter.FARRIER, "owner_says": Reporter.OWNER,
           "vet_says": Reporter.VET, "other_says": Reporter.OTHER}  # fmt: skip
_PERSONS = {"vet": Reporter.VET, "veterinarian": Reporter.VET, "doc": Reporter.VET,
            "doctor": Reporter.VET, "owner": Reporter.OWNER, "client": Reporter.OWNER,
            "rider": Reporter.OWNER, "lady": Reporter.OWNER, "trainer": Reporter.OWNER,
            "missus": Reporter.OWNER, "groom": Reporter.OWNER, "dealer": Reporter.OTHER,
            "seller": Reporter.OTHER}  # fmt: skip
_PRONOUNS = frozenset({"he", "she", "they"})
_TURNS = frozenset({"but", "so", "however", "though", "although", "anyway", "okay", "otherwise"})
"""Clause starters after which the farrier speaks for himself again."""


def _says(line: Line, mark: Mark) -> Reporter:
    """Who speaks; "he says" is whoever of vet and owner was named last."""
    told = _SAYERS[mark.code]
    if mark.code == "owner_says" and line.norm(mark.start) in _PRONOUNS:
        for at in range(mark.start - 1, max(-1, mark.start - 40), -1):
            person = _PERSONS.get(line.norm(at))
            if person is not None:
                return person
    return told


def _reporter(
    line: Line, unit: UnitSaid, left: UnitSaid | None, current: Reporter, at: int
) -> Reporter:
    if unit.head.kind == "advice" or unit.head.code == "denied_here":
        return Reporter.FARRIER
    if unit.head.code in ("rotation", "sinking") and films_before(line, unit.head.start):
        return Reporter.VET
    for mark in reversed(unit.before):
        if mark.kind == "role" and mark.code in _SAYERS:
            if mark.code == "farrier_says" and line.norm(mark.start) == "me":
                continue
            return _says(line, mark)
    late = [m for m in unit.after if m.kind == "role" and m.code in _SAYERS]
    late = [m for m in late if m.code != "farrier_says"]
    if late and (late[0].code != "owner_says" or at == 0 or _closes(line, late[0], unit)):
        return _says(line, late[0])
    if current is Reporter.FARRIER or left is None or unit.head.kind == "work":
        return Reporter.FARRIER
    between = {line.norm(i) for i in range(left.head.end, unit.head.start)}
    far = unit.head.start - left.head.end > 6
    if current is Reporter.OWNER and not between & {"and", "or", ",", "with"}:
        far = far or unit.head.start - left.head.end > 2
    if between & _TURNS or far or unit.head.kind in ("followup", "handling", "advice"):
        return Reporter.FARRIER
    if any(line.norm(m.start) == "i" for m in unit.roles(*_MY_WORDS)):
        return Reporter.FARRIER
    if not between & {"and", "or", ",", "with"} and unit.feet():
        return Reporter.FARRIER
    if current is Reporter.OWNER and (
        _pre_foot(unit) or any(m.kind == "role" and m.code == "starter" for m in unit.before)
    ):
        return Reporter.FARRIER
    return current


def _closes(line: Line, mark: Mark, unit: UnitSaid) -> bool:
    """The saying stands behind what was said: "short in front, the owner noticed it"."""
    return line.norm(mark.end) in ("it", "that", "this", "") or line.break_at(mark.end)


_TRAILING = frozenset({"maybe", "probably", "possibly", "perhaps", "could", "query", "suspected",
                       "possible", "likely", "questionable"})  # fmt: skip
_MY_WORDS = ("farrier_says", "unsure_before", "unsure_after")
_NEXT_SUBJECT = frozenset({"it", "that", "there", "he", "she", "they", "this"})


def _unsure(
    line: Line, unit: UnitSaid, left: UnitSaid | None, found: list[Context], at: int
) -> bool:
    if unit.has("unsure_after"):
        late = [
            m
            for m in unit.roles("unsure_after")
            if m.start >= unit.head.end
            and not (line.norm(m.start) == "i" and line.norm(m.end) in _NEXT_SUBJECT)
            and line.norm(m.end) not in ("me", "us")
        ]
        early = [m for m in unit.roles("unsure_after") if m.end <= unit.head.start]
        if unit.head.kind in ("work", "advice", "handling"):
            # "That's the vet's call. Poulticed it": the doubt is of what stands before
            early = []
        if late or any(not line.break_at(m.end) for m in early):
            return True
    for mark in unit.roles("vet_says"):
        if {line.norm(i) for i in mark.covers()} & {"suspects", "suspected", "suspect"}:
            return True
    for mark in unit.roles("unsure_before"):
        if mark.end <= unit.head.start:
            return True
        trailing = line.norm(mark.start) in _TRAILING
        if trailing or any(m.kind == "size" and m.start >= mark.end for m in unit.after):
            return True
    if left is not None and found[at - 1].uncertain:
        return _alternative(line, left, unit)
    return False


def _alternative(line: Line, left: UnitSaid, right: UnitSaid) -> bool:
    between = [line.norm(i) for i in range(left.head.end, right.head.start)]
    return "or" in between and len(between) <= 4


def _historical(line: Line, unit: UnitSaid, reporter: Reporter) -> bool:
    for mark in unit.roles("history_before"):
        aged = line.norm(mark.start - 1) in ("year", "years", "month", "months")
        if line.norm(mark.start) == "old" and (aged or unit.head.kind == "work"):
            continue
        if mark.end <= unit.head.start and unit.head.start - mark.end <= 4:
            return True
    # "Vet was out Tuesday and found thrush": the day is of the telling.
    after = [m for m in unit.roles("history_after") if m.start >= _told(unit)]
    if unit.head.code == "shoe_lost":
        # lost on Sunday, and still not there
        after = [m for m in after if {line.norm(i) for i in m.covers()} & {"last", "ago", "back"}]
    after = [m for m in after if not _apart(line, unit, m)]
    if not any(_was(line, i) or line.norm(i) in _HAD for i in range(unit.start, unit.end)):
        # "Gets thrush in the winter" is of every year.
        after = [m for m in after if not {line.norm(i) for i in m.covers()} & _SEASONS]
    # "The crack he had in the spring is nearly out" is seen today.
    trends = [m.start for m in unit.marks() if m.kind == "role" and m.code in _TREND_ROLES]
    after = [m for m in after if not any(_now_between(line, m.end, start) for start in trends)]
    if _before_now(line, unit):
        return True
    if reporter not in (Reporter.OWNER, Reporter.OTHER):
        # "Toe touching since Sunday" is seen today.
        after = [m for m in after if line.norm(m.start) != "since"]
    if after:
        return True
    late = [m for m in unit.roles("against_last") if not _comparing(line, unit)]
    return any(line.norm(m.start) == "last" for m in late)


_HAD = frozenset({"had", "'d", "got", "came", "went", "blew", "burst", "threw", "lost", "started"})
_SEASONS = frozenset({"spring", "summer", "winter", "autumn", "fall", "drought", "spell"})
_TREND_ROLES = frozenset({"better", "worse", "same", "larger", "smaller", "growing_out"})


def _now_between(line: Line, low: int, high: int) -> bool:
    return any(line.norm(i) in ("is", "'s", "are", "now", "today") for i in range(low, high + 1))


def _before_now(line: Line, unit: UnitSaid) -> bool:
    """ "He's had laminitis before": a bare "before" behind what he had."""
    had = any(line.norm(i) in ("had", "been") for i in range(unit.start, unit.head.start))
    return had and any(
        line.norm(i) == "before" and line.break_at(i + 1) for i in range(unit.head.end, unit.end)
    )


def _apart(line: Line, unit: UnitSaid, mark: Mark) -> bool:
    """ "No pulse, so whatever it was last week": the time is of another statement."""
    between = {line.norm(i) for i in range(unit.head.end, mark.start)}
    return bool(between & _OTHERWISE)


_OTHERWISE = frozenset({"so", "whatever", "but", "because", "like", "than", "as"})


def _comparing(line: Line, unit: UnitSaid) -> bool:
    return unit.has("better", "worse", "same", "larger", "smaller", "new", "gone") or (
        unit.head.kind == "change"
    )


def _severity(line: Line, unit: UnitSaid) -> Severity | None:
    best: tuple[int, Severity] | None = None
    trends = {m.start for m in unit.roles("better", "worse", "larger", "smaller")}
    for mark in unit.roles(*SEVERITIES):
        if mark.end in trends or mark.start in trends:
            continue
        if mark.end <= unit.head.start:
            distance = unit.head.start - mark.end
        elif mark.start >= unit.head.end:
            distance = mark.start - unit.head.end + 1
        else:
            distance = 0
        if best is None or distance < best[0]:
            best = (distance, Severity(mark.code))
    if best is None and unit.head.item is not None:
        inside = {line.norm(i) for i in unit.head.covers()}
        if inside & _MILD_INSIDE:
            return Severity.MILD
        if inside & _BAD_INSIDE or (unit.head.code == "wound" and "deep" in inside):
            return Severity.SEVERE
    return best[1] if best else None


_PAST = word_set("past_verbs")


def _planned(unit: UnitSaid) -> bool:
    return any(m.end <= unit.head.start for m in unit.roles("plan"))


def is_past(word: str) -> bool:
    """Whether a verb form tells of something already done."""
    return word.endswith("ed") or word in _PAST
