"""What the farrier taught: a small TOML file that is plain to read and to edit.

::

    [[word]]                     # one thing is always heard for another
    heard = "thresh"
    meant = "thrush"

    [[phrase]]                   # the farrier's own word for something we know
    words = "spongy in the middle"
    kind = "finding"
    code = "thrush"

    [[name]]                     # a horse or person, and how the recogniser hears it
    heard = "till he"
    meant = "Tilly"

    [habit]
    length_unit = "mm"           # a length without a unit means this

Rules come from corrections in review (``suggest``), are shown before they are kept, and can be
taken out again by deleting their lines. Words that a rule changed keep what was first heard.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.units import UNITS, Dimension, Unit
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import ConfigError

KINDS = ("finding", "work", "followup", "handling", "measure", "score", "place")
_HEAD = "# What you taught fieldlog. Change or delete lines as you like.\n"


@dataclass(frozen=True, slots=True)
class Swap:
    """Words that are heard for others."""

    heard: str
    meant: str


@dataclass(frozen=True, slots=True)
class Phrase:
    """The farrier's own words for an id of the vocabulary."""

    words: str
    kind: str
    code: str


@dataclass(frozen=True, slots=True)
class PersonalRules:
    """All personal rules."""

    words: tuple[Swap, ...] = ()
    phrases: tuple[Phrase, ...] = ()
    names: tuple[Swap, ...] = ()
    length_unit: str = ""

    def with_word(self, heard: str, meant: str) -> PersonalRules:
        """With one more word rule; a rule for the same words is replaced.

        Raises:
            ValueError: nothing was heard or meant, or both are the same.
        """
        return replace(self, words=_with(self.words, heard, meant))

    def with_name(self, heard: str, meant: str) -> PersonalRules:
        """With one more way a name is heard.

        Raises:
            ValueError: nothing was heard or meant, or both are the same.
        """
        return replace(self, names=_with(self.names, heard, meant))

    def with_phrase(self, words: str, kind: str, code: str) -> PersonalRules:
        """With the farrier's own words for an id.

        Raises:
            ValueError: no words, or an unknown kind.
        """
        tidy = _tidy(words)
        if not tidy or kind not in KINDS:
            raise ValueError(f"a phrase needs words and one of {', '.join(KINDS)}")
        kept = tuple(p for p in self.phrases if p.words != tidy)
        return replace(self, phrases=(*kept, Phrase(tidy, kind, code)))

    def with_length_unit(self, unit: str) -> PersonalRules:
        """With a habit for lengths without a unit: ``in``, ``mm`` or empty.

        Raises:
            ValueError: another unit.
        """
        if unit not in ("", "in", "mm"):
            raise ValueError("the length unit must be in or mm")
        return replace(self, length_unit=unit)

    def applied(self, transcript: Transcript) -> Transcript:
        """The transcript with heard words swapped for meant ones; what was heard is kept."""
        swaps = [(s, "personal:word") for s in self.words]
        swaps += [(s, "personal:name") for s in self.names]
        if not swaps:
            return transcript
        if not transcript.words:
            text = transcript.text
            for swap, _ in swaps:
                pattern = rf"(?<!\w){re.escape(swap.heard)}(?!\w)"
                meant = swap.meant.replace("\\", r"\\")
                text = re.sub(pattern, meant, text, flags=re.IGNORECASE)
            return transcript if text == transcript.text else replace(transcript, text=text)
        changed = _swap_words(transcript.words, swaps)
        if changed == transcript.words:
            return transcript
        return replace(transcript, words=changed, text="")


def _with(swaps: tuple[Swap, ...], heard: str, meant: str) -> tuple[Swap, ...]:
    tidy = _tidy(heard)
    if not tidy or not meant.strip() or tidy == meant.strip():
        raise ValueError("a rule needs what was heard and something else that was meant")
    return (*(s for s in swaps if s.heard != tidy), Swap(tidy, meant.strip()))


def _tidy(words: str) -> str:
    return " ".join(words.lower().split())


def _swap_words(words: tuple[Word, ...], swaps: Iterable[tuple[Swap, str]]) -> tuple[Word, ...]:
    out = list(words)
    for swap, rule in swaps:
        wanted = swap.heard.split()
        at = 0
        while at + len(wanted) <= len(out):
            piece = out[at : at + len(wanted)]
            if [w.text.lower().strip(".,;") for w in piece] == wanted:
                out[at : at + len(wanted)] = [
                    Word(
                        text=swap.meant,
                        start=piece[0].start,
                        end=piece[-1].end,
                        confidence=min(w.confidence for w in piece),
                        heard=" ".join(w.heard or w.text for w in piece),
                        changed_by=rule,
                        reader=piece[0].reader,
                    )
                ]
            at += 1
    return tuple(out)


def load_personal(path: Path) -> PersonalRules:
    """Read the rules; a missing file has none.

    Raises:
        ConfigError: not TOML, or a rule with a missing or wrong value.
    """
    if not path.exists():
        return PersonalRules()
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8-sig"))
        rules = PersonalRules()
        for row in data.get("word", []):
            rules = rules.with_word(row["heard"], row["meant"])
        for row in data.get("phrase", []):
            rules = rules.with_phrase(row["words"], row["kind"], row["code"])
        for row in data.get("name", []):
            rules = rules.with_name(row["heard"], row["meant"])
        return rules.with_length_unit(data.get("habit", {}).get("length_unit", ""))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise ConfigError(
            f"The file of your own words {path} cannot be read: {problem}.",
            "Correct that line, or move the file away.",
        ) from problem
    except (KeyError, ValueError, AttributeError, TypeError) as problem:
        raise ConfigError(
            f"The file of your own words {path} has a rule that cannot be used: {problem}.",
            "Each [[word]] and [[name]] needs heard and meant; each [[phrase]] words, kind, code.",
        ) from problem


def save_personal(rules: PersonalRules, path: Path) -> None:
    """Write the rules so that a person can read and edit them."""
    lines = [_HEAD]
    for table, swaps in (("word", rules.words), ("name", rules.names)):
        for swap in swaps:
            lines.append(
                f"[[{table}]]\nheard = {_quoted(swap.heard)}\nmeant = {_quoted(swap.meant)}\n"
            )
    for phrase in rules.phrases:
        lines.append(
            f"[[phrase]]\nwords = {_quoted(phrase.words)}\nkind = {_quoted(phrase.kind)}\n"
            f"code = {_quoted(phrase.code)}\n"
        )
    if rules.length_unit:
        lines.append(f"[habit]\nlength_unit = {_quoted(rules.length_unit)}\n")
    path.parent.mkdir(parents=True, exist_ok=True)
    fresh = path.with_suffix(".new")
    fresh.write_text("\n".join(lines), encoding="utf-8")
    fresh.replace(path)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    escaped = "".join(c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped)
    return f'"{escaped}"'


def suggest(before: Fact, after: Fact, words: str, rules: PersonalRules) -> PersonalRules | None:
    """The rules with what one correction in review teaches, or None if it teaches nothing.

    Args:
        before: the fact as understood.
        after: the same fact as corrected.
        words: the words of the note that it came from.
        rules: the rules so far.
    """
    old, new = before.quantity, after.quantity
    if (
        old is not None
        and new is not None
        and old.unit_inferred
        and old.unit is not new.unit
        and UNITS[new.unit].dimension is Dimension.LENGTH
        and new.unit in (Unit.MM, Unit.INCH)
    ):
        return rules.with_length_unit(new.unit.value)
    kinds = {FactKind.FINDING: "finding", FactKind.WORK: "work", FactKind.HANDLING: "handling",
             FactKind.FOLLOW_UP: "followup"}  # fmt: skip
    if before.kind is after.kind and before.code != after.code and after.kind in kinds:
        tidy = _tidy(re.sub(r"[^\w\s']", " ", words))
        if tidy and len(tidy.split()) <= 6:
            return rules.with_phrase(tidy, kinds[after.kind], after.code)
    return None
