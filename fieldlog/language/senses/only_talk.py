"""What is asked, watched for or feared is no finding: "will he be sound", "asked about bute".

A question tells what somebody wants to know, a warning what may come. Findings and jobs inside
them lose their meaning here, before clauses are built; their words stay as a passage.
"""

from __future__ import annotations

from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_ASK = frozenset({"ask", "asks", "asked", "asking", "enquired", "inquired", "queried"})
_WANTS = frozenset({"wants", "wanted", "like", "likes", "dying", "needs", "want"})
_WHO = frozenset({"me", "us", "him", "her", "them", "again", "today", "the", "vet", "owner"})
_OPENS = frozenset({"if", "whether", "is", "was", "are", "were", "will", "would", "does", "do",
                    "did", "should", "could", "can", "what", "why", "how", "when"})  # fmt: skip
_MODALS = frozenset({"will", "would", "should", "could", "can", "shall"})
_SUBJECTS = frozenset({"he", "she", "it", "they", "i", "we", "this", "that", "you"})
_TURNED = frozenset({"nor", "neither", "not", "never", "so", "as", "than", "if", "that", "what",
                     "it", "this", "he", "she", "they", "who", "which"})  # fmt: skip
"""Before a modal verb: "nor would he", "that will she" ask nothing."""
_ANSWERS = frozenset({"but", "and", "so", "told", "said", "answered", "because", "i", "well",
                      "yes", "no", "then"})  # fmt: skip
_ABOUT = frozenset({"about", "after"})
_TALK = frozenset({"talk", "talked", "talking", "talks", "chat", "chatted", "chatting", "read",
                   "reading", "joked", "joking", "argued", "arguing"})  # fmt: skip
_KNOWN = frozenset({"the", "that", "his", "her", "its", "this", "those", "their", "these"})
_LINKS = frozenset({"any", "a", "an", "some", "giving", "putting", "getting", "using", "more",
                    "going", "to", "him", "her", "them", "on"}) | _KNOWN  # fmt: skip
_FEARED = frozenset({"prevent", "preventing", "avoid", "avoiding"})
_LONGEST = 9
"""Most words of a question."""


def without_talk(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks without findings and jobs that were only asked about or feared."""
    asked: set[int] = set()
    for at in range(len(line.words)):
        wants = line.norm(at) == "know" and line.norm(at - 2) in _WANTS
        if line.norm(at) in _ASK or wants:
            asked |= _question(line, at)
        elif _turned_round(line, at):
            asked |= _until_answered(line, at + 2)
        elif line.norm(at) in _FEARED or _spared(line, at):
            asked |= _until_answered(line, at + 1)
    return [m for m in marks if not _only_talk(line, m, asked)]


def _only_talk(line: Line, mark: Mark, asked: set[int]) -> bool:
    if mark.kind not in ("finding", "work"):
        return False
    if mark.kind == "finding" and _to_come(line, mark):
        return True
    return mark.start in asked or _talked_about(line, mark)


def _spared(line: Line, at: int) -> bool:
    """ "So as not to split it", "without making him sore", "so she doesn't chip out"."""
    word, before = line.norm(at), line.norm(at - 1)
    if line.norm(at - 2) == "so" and before in ("he", "she", "it", "they"):
        return word in ("doesn't", "don't", "won't", "can't")
    return (word == "to" and before == "not" and line.norm(at - 2) == "as") or (
        word == "making" and before == "without"
    )


def _to_come(line: Line, mark: Mark) -> bool:
    """ "He'll be footy for a day or two": not so yet."""
    at = mark.start - 1
    while line.norm(at) in ("a", "bit", "little", "touch", "very", "pretty", "real", "quite"):
        at -= 1
    if line.norm(at) != "be":
        return False
    at -= 1
    while line.norm(at) in ("probably", "likely", "going", "to", "gonna", "still", "always"):
        at -= 1
    who = line.norm(at - 1)
    return line.norm(at) in ("'ll", "will", "'s", "is") and who in ("he", "she", "they")


def _question(line: Line, verb: int) -> set[int]:
    """The words of "asked me is he lame", "asks if it will crack"."""
    at = verb + 1
    while line.norm(at) in _WHO:
        at += 1
    if line.norm(at) not in _OPENS:
        return set()
    return _until_answered(line, at + 1)


def _turned_round(line: Line, at: int) -> bool:
    """ "Will he be sound?", "should i give him bute": the verb stands before its subject."""
    if line.norm(at) not in _MODALS or line.norm(at + 1) not in _SUBJECTS:
        return False
    if line.norm(at + 1) in ("it", "this", "that") and line.norm(at) not in ("will", "should"):
        return False
    if line.norm(at) == "should" and line.norm(at + 1) not in ("i", "we", "you"):
        return False  # "should he go lame, ring me" is a condition
    if line.norm(at) in ("can", "could") and line.norm(at + 1) not in ("he", "she", "they"):
        return False
    return line.norm(at - 1) not in _TURNED


def _until_answered(line: Line, begin: int) -> set[int]:
    out: set[int] = set()
    for at in range(begin, begin + _LONGEST):
        if not line.norm(at) or line.break_at(at) or line.words[at].sort == "stop":
            break
        if line.norm(at) in _ANSWERS:
            break
        out.add(at)
    return out


def _talked_about(line: Line, mark: Mark) -> bool:
    """ "Asked about bute", "talked about shoes": what is there is named with "the" or "that"."""
    at, known = mark.start - 1, False
    while line.norm(at) in _LINKS:
        known = known or line.norm(at) in _KNOWN
        at -= 1
    if line.norm(at) not in _ABOUT or (known and mark.kind == "finding"):
        return False
    if line.norm(mark.start).endswith("ed"):
        return False  # "no pulse worth talking about, trimmed it"
    at -= 1
    while line.norm(at) in _WHO:
        at -= 1
    return line.norm(at) in _ASK | _TALK and line.norm(at - 1) != "worth"
