"""Who says so, beyond the set phrases: names and titles that say, think or noticed something.

"Mrs Ames reckons", "Jenny rang to say", "vet was out Tuesday and found": a saying verb makes its
subject the reporter. Names need no list: a word that no rule knows and that no article stands
before is a person when it says something; things that are read ("the tape says") are none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.core.facts import Fact, Reporter
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line

SAYERS = ("owner_says", "vet_says", "other_says")
_TITLES = frozenset(
    {
        "mr", "mrs", "ms", "miss", "missus", "mister", "madam", "lady", "sir", "auntie", "uncle",
        "old",
    }
)  # fmt: skip
_DOCTORS = frozenset({"dr", "doc", "doctor", "vet"})
_VETS = word_set("vet_words")
_OTHERS = word_set("other_sayers")
_OWNERS = word_set("owner_words")
_AUXILIARY = frozenset(
    {
        "has", "'s", "had", "'d", "have", "'ve", "also", "just", "always", "keeps", "was", "is",
        "does", "be", "been", "then", "only", "even", "still",
    }
)  # fmt: skip
_TOLD = frozenset({"told", "tells", "tell", "telling", "informed", "informs", "warned"})
_RANG = frozenset(
    {
        "rang", "called", "texted", "messaged", "phoned", "emailed", "wrote", "rung", "left",
        "sent",
    }
)  # fmt: skip
_SAYING = word_set("saying_verbs")
_FOUND = word_set("finding_verbs")
_ARTICLES = frozenset({"the", "a", "an", "my", "that", "this", "his", "her", "its", "no", "any"})
_CALLED = frozenset({"called", "calls", "graded", "grades", "diagnosed"})
_ME = frozenset({"me", "us"})
_THEM = frozenset({"her", "him", "them"})
_WHERE = frozenset({"at", "from", "in", "on", "down", "over", "up", "with"})
_FILMS = word_set("films")
_SHOWED = frozenset({"showed", "shows", "show", "found", "confirmed", "says", "said"})


def settle_reporters(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks, with one for everybody who says something and is in no set phrase."""
    out = _trainers(line, _unnamed(line, marks))
    for new in _deniers(line, marks):
        out = _with(out, new)
    for at in range(len(line.words)):
        named = _according(line, out, at) or _says_so(line, out, at)
        if named is not None:
            out = _with(out, named)
            continue
        said = _saying(line, at)
        if said is None:
            continue
        if any(m.code in (*SAYERS, "farrier_says") and m.holds(at) for m in out):
            continue
        found = _subject(line, out, at, said[1])
        if found is None:
            continue
        code, begin = found
        out = _with(out, Mark("role", code, begin, said[0]))
    return in_order(out)


def _unnamed(line: Line, marks: list[Mark]) -> list[Mark]:
    """Marks without those that are somebody's name: "told Mrs Green"."""
    return [
        m
        for m in marks
        if not (m.size == 1 and line.norm(m.start - 1) in ("mr", "mrs", "miss", "ms", "dr"))
    ]


_HANDS = frozenset({"trainer", "rider", "lad", "lads", "boy", "hand", "wrangler", "grandpa",
                    "student", "foreman", "cowboy", "groom", "girl", "girls", "kid", "kids",
                    "daughter", "son", "mother", "neighbour", "neighbor", "manager",
                    "breeder"})  # fmt: skip


def _trainers(line: Line, marks: list[Mark]) -> list[Mark]:
    """A trainer or a rider is neither owner nor vet, unless named as the owner too."""
    for mark in marks:
        if mark.code != "owner_says":
            continue
        words = {line.norm(i) for i in mark.covers()}
        owns = words & {"owner", "owns", "bought", "has", "keeps"}
        if words & _HANDS and not owns:
            mark.code = "other_says"
    return marks


_SAYS_SO = frozenset({"says", "said", "reckons", "thinks", "claims", "swears"})


def _says_so(line: Line, marks: list[Mark], at: int) -> Mark | None:
    """ "Lame behind, says the pony man", "so says the vet": who says so stands last."""
    if line.norm(at) not in _SAYS_SO:
        return None
    begin = at - 1 if line.norm(at - 1) == "so" else at
    before = begin - 1
    while line.break_at(before) and before > 0:
        before -= 1
    told = any(m.kind != "role" and m.holds(before) for m in marks)
    who = at + 1
    while line.norm(who) in _ARTICLES:
        who += 1
    if who == at + 1 and _person(line, who) is None:
        return None
    if _person(line, who) is None:
        who += 1  # "the pony man"
    kind = _person(line, who)
    if kind is None or not (told or begin < at):
        return None
    end = who + 1
    footed = any(m.kind == "foot" and m.start in (end, end + 1) for m in marks)
    if not (line.break_at(end) or footed or line.norm(end) in _GOES_ON):
        return None
    said = Mark("role", kind, begin, end)
    said.tags.add("behind")
    return said


_GOES_ON = frozenset({"and", "but", "so", "i", "then", "though", "anyway", "that", "who", "when"})
_DENIED = frozenset(
    {
        "noticed", "seen", "see", "find", "found", "feel", "felt", "notice", "sure", "certain",
        "convinced", "think", "believe", "reckon", "mentioned", "reported",
    }
)  # fmt: skip


def _deniers(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Owner hasn't noticed any", "vet ruled out": the reporter stands before a denial."""
    out = []
    for mark in marks:
        words = {line.norm(i) for i in mark.covers()}
        if mark.kind in ("followup", "work") and line.norm(mark.start) in ("wants", "wanted"):
            kind = _person(line, mark.start - 1)
            if kind == "vet_says":
                out.append(Mark("role", kind, mark.start - 1, mark.start))
            continue
        rules_out = line.norm(mark.start) in ("ruled", "cleared") and mark.code == "negation"
        if not rules_out and not (
            mark.code in ("negation", "unsure_before") and (words | {line.norm(mark.end)}) & _DENIED
        ):
            continue
        found = _subject(line, marks, mark.start, True)
        if found is not None and found[1] < mark.start:
            out.append(Mark("role", found[0], found[1], mark.start))
    return out


def _with(marks: list[Mark], new: Mark) -> list[Mark]:
    """The marks with a new one that takes the words of small ones."""
    words = new.covers()
    return [m for m in marks if not m.touches(words)] + [new]


def _saying(line: Line, at: int) -> tuple[int, bool] | None:
    """Where a saying that begins with the verb at ``at`` ends, and whether it is a plain one."""
    word = line.norm(at)
    if word in ("say", "says", "saw", "seen") and line.norm(at + 1) in ("so", "to"):
        return None
    if word in _TOLD:
        if line.norm(at + 1) not in _ME | _THEM:
            return None
        return _after_that(line, at + 2), True
    if word in ("wants", "wanted", "asked", "asks") and line.norm(at + 2) == "know":
        return at + 4, True
    if word in _CALLED and line.norm(at + 1) in ("it", "that", *_THEM):
        return at + 2, True  # "she called it a two"
    if word in _RANG:
        end = at + 1
        while line.norm(end) in ("me", "us", "up", "in", "a", "message"):
            end += 1
        if line.norm(end) == "to" and line.norm(end + 1) in ("say", "tell"):
            end += 2
            if line.norm(end) in _ME:
                end += 1
            return _after_that(line, end), True
        if line.norm(end) == "saying":
            return _after_that(line, end + 1), True
        return None
    if word in _SAYING:
        if word.startswith("th") and line.norm(at + 1) in ("about", "of", "twice", "better"):
            return None
        if word in ("say", "said") and line.norm(at - 1) in ("to", "should", "would", "i"):
            return None
        return _after_that(line, at + 1), True
    if word in _FOUND:
        return at + 1, False
    return None


def _after_that(line: Line, at: int) -> int:
    return at + 1 if line.norm(at) == "that" and line.norm(at + 1) not in ("'s", "is") else at


def _according(line: Line, marks: list[Mark], at: int) -> Mark | None:
    """ "According to Mrs Pike", "sound, per the groom"."""
    per = line.norm(at) == "per" and line.norm(at - 1) != "as" and line.norm(at + 1) != "cent"
    led = line.norm(at) in ("according", "going") and line.norm(at + 1) in ("to", "by")
    if not (per or led):
        return None
    who = at + 1 if per else at + 2
    while line.norm(who) in _ARTICLES and line.norm(who + 1) not in ("he", "she", "it", "there"):
        who += 1
    kind = _person(line, who)
    if kind is None and _person(line, who + 1) is not None and not line.break_at(who):
        who += 1  # "the pony man"
        kind = _person(line, who)
    if kind is None and line.norm(who) in _TITLES | _DOCTORS:
        kind = "vet_says" if line.norm(who) in _DOCTORS else "owner_says"
        who += 1
    if kind is None and (line.norm(who) in _THEM or _is_name(line, marks, who)):
        kind = "owner_says"
    return None if kind is None else Mark("role", kind, at, who + 1)


def _subject(line: Line, marks: list[Mark], verb: int, plain: bool) -> tuple[str, int] | None:
    """Who does the saying at ``verb``: the reporter's role and where the words begin."""
    at = verb - 1
    while at >= 0 and line.norm(at) in _AUXILIARY:
        at -= 1
    word = line.norm(at)
    if not word or line.break_at(at):
        return None
    if line.norm(verb) in _TOLD and line.norm(verb + 1) in _THEM:
        kind = _person(line, at)
        return (kind, at) if kind is not None and _opens(line, at) else None
    kind = _person(line, at)
    if kind is not None:
        told = plain or kind != "owner_says" or line.norm(verb) in _ANYBODY
        return (kind, at) if told else None
    if word in ("she", "he", "they") and at < verb - 1 and line.norm(verb) in _PEOPLE_DO:
        return "owner_says", at
    if word in ("she", "he", "they") and line.norm(verb) in _THINKS:
        return "owner_says", at
    placed = _with_place(line, at)
    if placed is not None:
        return placed
    if word in ("it", "they", "which", "that", "them") and line.norm(verb) in _SHOWED:
        return ("vet_says", at) if films_before(line, at) else None
    if word == "they" and plain:
        return "owner_says", at
    titled = line.norm(at - 1)
    if titled in _DOCTORS and word not in vocabulary():
        return "vet_says", at - 1
    if titled in _TITLES and word not in _SAYING and not line.break_at(at - 1):
        return ("owner_says", at - 1) if plain or titled != "old" else None
    if plain and _is_name(line, marks, at):
        return "owner_says", at
    if line.norm(verb) in _SHOWED and films_before(line, verb, 5):
        return "vet_says", verb
    if word in ("and", ",", "then") or _in_relative(line, at, verb):
        return _earlier(line, at, verb)
    return None


_THINKS = frozenset(
    {
        "reckons",
        "reckoned",
        "reckon",
        "thinks",
        "thought",
        "think",
        "believes",
        "figures",
        "suspects",
        "thinking",
        *_CALLED,
    }
)
_ANYBODY = frozenset({"found", "saw", "seen", "felt", "feels"})
_PEOPLE_DO = frozenset(
    {"noticed", "felt", "seen", "spotted", "mentioned", "said", "complained", "reported"}
    | {"adamant", "convinced"}
)


def _opens(line: Line, at: int) -> bool:
    """Whether a person at ``at`` begins a statement."""
    back = at - 1
    while line.norm(back) in _ARTICLES | {"previous", "old", "new", "last", "former", "current"}:
        back -= 1
    return line.break_at(back) or line.norm(back) in ("and", "so", "but", "then", "because")


def _with_place(line: Line, at: int) -> tuple[str, int] | None:
    """ "The girls at the yard noticed"."""
    for back in range(at - 1, max(-1, at - 4), -1):
        if line.norm(back) in _WHERE:
            who = back - 1 - (line.norm(back - 1) in _WHERE)  # "the vet down in"
            kind = _person(line, who)
            return None if kind is None else (kind, who)
    return None


def _person(line: Line, at: int) -> str | None:
    word = line.norm(at)
    if word in _VETS:
        return "vet_says"
    if word in _OTHERS or word in _HANDS:
        return "other_says"
    return "owner_says" if word in _OWNERS else None


def _is_name(line: Line, marks: list[Mark], at: int) -> bool:
    """A word that no rule knows, no mark took and no article stands before."""
    word = line.norm(at)
    return (
        len(word) > 2
        and word.isalpha()
        and (word not in vocabulary() or word in word_set("names_too"))
        and word not in word_set("things_that_say")
        and line.norm(at - 1) not in _ARTICLES
        and not any(m.holds(at) for m in marks if m.kind != "role" or m.code == "ignored")
    )


def _in_relative(line: Line, at: int, verb: int) -> bool:
    return any(line.norm(i) in ("who", "that") for i in range(max(0, verb - 6), at + 1))


def _earlier(line: Line, at: int, verb: int) -> tuple[str, int] | None:
    """ "The vet who saw him Monday thinks", "vet was out and found": the person before."""
    for back in range(at, max(-1, verb - 10), -1):
        word = line.norm(back)
        if word in ("i", "we", "i'm", "told", "tell", "ask", "call", "ring") or (
            line.words[back].sort == "stop"
        ):
            return None
        kind = _person(line, back)
        if kind == "vet_says" or (kind is not None and line.norm(back + 1) in ("who", "that")):
            return kind, verb
    return None


def films_before(line: Line, at: int, far: int = 20) -> bool:
    """Whether a word for the vet's pictures stands within ``far`` words before ``at``."""
    for back in range(at - 1, max(-1, at - far - 1), -1):
        if line.norm(back) in _FILMS:
            return True
        if line.words[back].sort == "stop" or line.norm(back) in (
            "tester",
            "testers",
            "knife",
            "i",
            "we",
            "if",
        ):
            return False
    return False


_ON_FILM = frozenset({"rotation", "sinking", "sole_depth", "palmar_angle", "founder_distance",
                      "horn_laminar_zone"})  # fmt: skip


def read_off_films(facts: Sequence[Fact], line: Line) -> list[Fact]:
    """What only films show is the vet's word where one such thing is, or films were named."""
    films = min((w.start for w in line.words if w.norm in _FILMS), default=None)
    told = False
    out = []
    for fact in facts:
        if fact.code in _ON_FILM:
            told = told or fact.reporter is Reporter.VET
            told = told or (films is not None and films < fact.span[0])
            if told and fact.reporter is Reporter.FARRIER:
                fact = replace(fact, reporter=Reporter.VET, uncertain=False)
        out.append(fact)
    return out
