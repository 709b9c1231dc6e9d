"""What is said where a command lacks a word, or has one too many: what to do, with an example."""

from __future__ import annotations

import re

import click

from fieldlog.errors import InputError

_NOTE = "which note: its short name stands in front of it in “fieldlog notes list”"
_WHICH = "which follow-up: its short name stands in front of it in “fieldlog follow-ups”"

SAY = {
    "NAME": "which name",
    "HORSE": "which horse",
    "NOTE": _NOTE,
    "NUMBER": "the number of the fact, as “fieldlog notes show NOTE” gives it",
    "OTHER": "the number of the other fact too",
    "FEET": "which foot",
    "WORDS": "what was seen or done",
    "WHICH": _WHICH,
    "FOLLOW_UP": _WHICH,
    "DAY": "which day",
    "TEXT": "what was promised",
    "WRONG": "the wrong name, then the right one",
    "RIGHT": "the right name too",
    "FILE": "the name of a file",
    "TARGET": "the name of a file or a folder",
    "SOURCE": "the name of a file or a folder",
    "FOLDER": "which folder",
    "BACKUP": "which backup: a folder in the one that “fieldlog data roll” fills",
    "--reason": "why, with --reason",
}
"""What is to be said for a word that a command cannot do without."""

EXAMPLES = {
    "notes add": 'notes add 14a9a208 left front flare --reason "forgotten before"',
    "notes break": 'notes break 14a9a208 2 --reason "only one foot grew"',
    "notes change": 'notes change 14a9a208 2 3 1/4 in --reason "measured again"',
    "notes day": 'notes day 14a9a208 2026-11-25 --reason "the recorder\'s clock was wrong"',
    "notes delete": 'notes delete 14a9a208 2 --reason "said of another horse"',
    "notes foot": 'notes foot 14a9a208 2 right front --reason "wrong foot"',
    "notes part": 'notes part 14a9a208 3 Rosie --reason "two horses in one note"',
    "notes horse": 'notes horse 14a9a208 Rosie --reason "said under the wrong horse"',
    "notes join": 'notes join 14a9a208 2 3 --reason "one thing in two pieces"',
    "notes learn": "notes learn 14a9a208",
    "notes show": "notes show 14a9a208",
    "notes undo": "notes undo 14a9a208",
    "follow-ups add": 'follow-ups add "bring number one shoes" --horse Juniper',
    "follow-ups done": 'follow-ups done 3f2a --note "films seen"',
    "follow-ups drop": 'follow-ups drop 3f2a --reason "horse was sold"',
    "follow-ups ics": "follow-ups ics due.ics",
    "follow-ups move": "follow-ups move 3f2a friday",
    "follow-ups reopen": "follow-ups reopen 3f2a",
    "follow-ups show": "follow-ups show 3f2a",
    "horse": 'horse "Old Bill"',
    "clients add": 'clients add "Marta Ellery" --phone "555 0101"',
    "clients apart": 'clients apart "Marta Ellry"',
    "clients change": 'clients change "Marta Ellery" --phone "555 0101"',
    "clients forget": 'clients forget "Marta Ellery" --reason "asked for it by letter"',
    "clients same": 'clients same "Marta Ellry" "Marta Ellery"',
    "horses add": 'horses add "Old Bill" --owner "Marta Ellery"',
    "horses apart": "horses apart Rosy",
    "horses back": "horses back Rosie",
    "horses change": 'horses change "Old Bill" --caution "kicks behind"',
    "horses left": "horses left Rosie --reason sold",
    "horses remove": 'horses remove "Old Bill"',
    "horses same": "horses same Rosy Rosie",
    "barns apart": 'barns apart "Alder Crek"',
    "barns same": 'barns same "Alder Crek" "Alder Creek"',
    "paper before": 'paper before "Old Bill"',
    "paper neglect": 'paper neglect "Old Bill" --out neglect.pdf',
    "paper owner": 'paper owner "Old Bill" --out summary.pdf',
    "paper record": 'paper record "Old Bill" --out record.pdf',
    "paper vet": 'paper vet "Old Bill" --out letter.pdf',
    "data export": "data export all.json",
    "data fhir": "data fhir Juniper juniper.json",
    "data import": "data import all.json",
    "data restore": "data restore BACKUP.zip",
    "data roll": "data roll STICK",
    "data seal": "data seal summary.pdf",
    "data teaching": "data teaching teaching.json",
    "data unroll": "data unroll STICK/fieldlog-20261130-190000",
    "data unseal": "data unseal summary.pdf.age",
}
"""One right call of each command that needs a word. Invented names; a test reads each."""

_NAMED = ("NAME", "HORSE", "WRONG", "RIGHT")


def retold(ctx: click.Context, problem: click.UsageError) -> click.ClickException | InputError:
    """A complaint of the command line as a sentence with an example; as it was if there is none."""
    words = _sentence(ctx, problem)
    if not words:
        return problem
    example = EXAMPLES.get(_path(ctx))
    return InputError(words, f"For example: fieldlog {example}" if example else "")


def _path(ctx: click.Context) -> str:
    return " ".join(ctx.command_path.split()[1:])


def _sentence(ctx: click.Context, problem: click.UsageError) -> str:
    if isinstance(problem, click.MissingParameter) and problem.param is not None:
        say = SAY.get(_name(problem.param), _name(problem.param))
        return f"Say {say}."
    if isinstance(problem, click.BadOptionUsage) and problem.message.endswith("an argument."):
        return f"Something belongs behind {problem.option_name}."
    if isinstance(problem, click.BadParameter) and problem.param is not None:
        return _wrong(problem.param, problem.message)
    extra = re.fullmatch(r"Got unexpected extra arguments? \((.+)\)", problem.message)
    return _one_too_many(ctx, extra[1]) if extra else ""


def _wrong(param: click.Parameter, told: str) -> str:
    """What is wrong with a number or a folder; empty where click says it well enough."""
    if gone := re.fullmatch(r"Directory '(.+)' does not exist\.", told):
        return f"There is no folder {gone[1]}."
    found = re.match(r"'?(.+?)'? is not (a valid integer|in the range)", told)
    if not found:
        return ""
    if isinstance(param, click.Argument):
        return f"“{found[1]}” is no number. Say {SAY[_name(param)]}."
    return f"{_name(param)} takes {_numbers(param.type)}, not “{found[1]}”."


def _numbers(kind: object) -> str:
    low, high = getattr(kind, "min", None), getattr(kind, "max", None)
    if high is not None:
        return f"a number from {low} to {high}"
    return "a number" if low is None else f"a number from {low} on"


def _one_too_many(ctx: click.Context, words: str) -> str:
    """A name of two words that was typed without quotes is what it mostly is."""
    names = [_name(p) for p in ctx.command.params if isinstance(p, click.Argument)]
    if any(name in _NAMED for name in names):
        return f"“{words}” is one word too many: a name of several words goes in quotes."
    return f"“{words}” is one word too many. “fieldlog {_path(ctx)} --help” lists what can be said."


def _name(param: click.Parameter) -> str:
    if isinstance(param, click.Argument):
        return param.human_readable_name.strip("[].")
    return max(param.opts, key=len)
