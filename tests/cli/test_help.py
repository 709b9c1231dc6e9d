"""Every command explains itself, and the list at the top says the same."""

from __future__ import annotations

import errno
import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

import fieldlog
from fieldlog.cli import main
from fieldlog.cli.main import COMMANDS, SECTIONS, CarefulCommand, cli
from fieldlog.cli.usage import EXAMPLES, SAY


def every_command() -> Iterator[tuple[str, click.Command]]:
    context = click.Context(cli)

    def walk(name: str, command: click.Command) -> Iterator[tuple[str, click.Command]]:
        yield name, command
        if isinstance(command, click.Group):
            for sub in command.list_commands(context):
                found = command.get_command(context, sub)
                assert found is not None, f"{name} {sub} is listed but not there"
                yield from walk(f"{name} {sub}", found)

    for top in cli.list_commands(context):
        found = cli.get_command(context, top)
        assert found is not None, f"{top} is listed but not there"
        yield from walk(top, found)


ALL = dict(every_command())


@pytest.mark.parametrize("name", list(ALL))
def test_every_command_and_option_has_help(name: str) -> None:
    command = ALL[name]
    assert command.help, f"{name} has no help"
    assert command.help.splitlines()[0].strip().endswith((".", ":")), f"{name}: no full sentence"
    for parameter in command.params:
        if isinstance(parameter, click.Option):
            assert parameter.help, f"{name} {parameter.opts}"
        else:
            shown = (parameter.metavar or parameter.name or "").upper().strip("[]")
            assert shown in command.help, f"{name} does not explain {shown}"


@pytest.mark.parametrize("name", list(COMMANDS))
def test_the_list_says_what_the_command_says(name: str) -> None:
    help_text = ALL[name].help or ""
    listed = COMMANDS[name][1]
    assert " ".join(help_text.split()).startswith(listed.split(":")[0].rstrip(".")), listed


def test_every_command_is_in_one_section() -> None:
    assert sorted(n for names in SECTIONS.values() for n in names) == sorted(COMMANDS)


@pytest.mark.parametrize("name", list(ALL))
def test_help_is_printed(name: str) -> None:
    result = CliRunner().invoke(cli, [*name.split(), "--help"])
    assert result.exit_code == 0
    assert "Usage:" in result.output


NEEDY = [
    name
    for name, command in ALL.items()
    if not isinstance(command, click.Group) and any(p.required for p in command.params)
]


@pytest.mark.parametrize("name", NEEDY)
def test_a_missing_word_is_asked_for_with_an_example(name: str, tmp_path: Path) -> None:
    home = ["--home", str(tmp_path / "new")]
    result = CliRunner().invoke(cli, [*home, *name.split()])
    assert result.exit_code == 2
    assert result.output.startswith("fieldlog: Say ")
    assert f"For example: fieldlog {EXAMPLES[name]}" in result.output
    assert "Missing" not in result.output


def test_every_example_is_a_call_that_its_command_takes() -> None:
    assert sorted(EXAMPLES) == sorted(NEEDY)
    for name, example in EXAMPLES.items():
        words = shlex.split(example)[len(name.split()) :]
        if name not in ("data import", "data restore", "data seal", "data unroll", "data unseal"):
            ALL[name].make_context(name, words)  # raises if it does not; those need a file


def test_every_word_that_may_lack_is_told_of() -> None:
    for name in NEEDY:
        for param in ALL[name].params:
            if param.required:
                shown = (param.metavar or param.name or "").upper().strip("[].")
                assert (shown if isinstance(param, click.Argument) else param.opts[0]) in SAY


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("horse Old Bill", "“Bill” is one word too many: a name of several words goes in quotes."),
        ("clients add Marta Ellery", 'goes in quotes. For example: fieldlog clients add "Marta'),
        ("horses list Bramble", "“fieldlog horses list --help” lists what can be said."),
        ("notes change abc left", "“left” is no number. Say the number of the fact"),
        ("horses left Rosie", "Say why, with --reason."),
        (
            "horses change Duke --cycle-weeks 60",
            "--cycle-weeks takes a number from 1 to 52, not “60”",
        ),
        ("search --limit x thrush", "--limit takes a number from 1 to 10000, not “x”."),
        ("type --horse", "Something belongs behind --horse."),
        ("voice read --from nowhere", "There is no folder nowhere."),
        ("doctor now", "“now” is one word too many."),
    ],
)
def test_words_that_do_not_fit_are_told(line: str, said: str, tmp_path: Path) -> None:
    result = CliRunner().invoke(cli, ["--home", str(tmp_path), *line.split()])
    assert result.exit_code == 2
    assert said in result.output
    assert "Usage:" not in result.output


def test_every_command_tells_its_errors_as_sentences() -> None:
    assert [n for n, c in ALL.items() if not isinstance(c, CarefulCommand | click.Group)] == []


def test_lists_are_not_cut_short() -> None:
    for name in ("data", "paper", "follow-ups"):
        assert "..." not in CliRunner().invoke(cli, [name, "--help"]).output.split("Commands:")[1]


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from click.testing import CliRunner\n"
        "from fieldlog.cli.main import cli\n"
        "assert CliRunner().invoke(cli, ['--help']).exit_code == 0\n"
        "heavy = {'numpy', 'spacy', 'vosk', 'textual', 'sqlite_utils', 'matplotlib', 'av'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_an_unknown_command_is_a_sentence() -> None:
    result = CliRunner().invoke(cli, ["folow-ups"])
    assert result.exit_code == 2
    assert "Did you mean follow-ups?" in result.output
    assert "Did you mean drafts" in CliRunner().invoke(cli, ["drfts"]).output


def test_an_unknown_subcommand_is_a_sentence_with_the_likely_ones() -> None:
    said = CliRunner().invoke(cli, ["paper", "onwer", "Juniper"])
    assert said.exit_code == 2
    assert "There is no command “paper onwer”. Did you mean owner?" in said.output
    assert "paper --help” lists them all." in said.output


@pytest.mark.parametrize("group", ["horses", "notes", "follow-ups"])
def test_a_name_where_a_command_belongs_is_led_to_what_was_wanted(group: str) -> None:
    said = CliRunner().invoke(cli, [group, "Juniper"]).output
    assert re.search("(is|are) “fieldlog [a-z -]+ NAME”", said)
    assert said.count("NAME") == 1


def test_no_command_that_is_told_has_quotes_that_a_shell_does_not_know() -> None:
    """“ and ” set off what is said; inside a command they would become part of a name."""
    package = Path(fieldlog.__file__).parent
    wrong = re.compile(r"--[a-z-]+ “|fieldlog [a-z]+ [a-z]+ “(?!fieldlog)")
    told = [
        f"{path.name}: {line.strip()}"
        for path in sorted(package.rglob("*.py"))
        for line in path.read_text(encoding="utf-8").splitlines()
        if wrong.search(line)
    ]
    assert told == []


@pytest.mark.parametrize("module", ["fieldlog", "fieldlog.cli"])
def test_it_starts_as_a_module_where_the_command_is_on_no_path(module: str) -> None:
    shown = subprocess.run(
        [sys.executable, "-m", module, "--version"], capture_output=True, text=True, check=False
    )
    assert shown.stdout.strip() == f"fieldlog {fieldlog.__version__}", shown.stderr


@pytest.mark.parametrize(
    ("system", "problem", "code"),
    [
        ("posix", BrokenPipeError(errno.EPIPE, "Broken pipe"), 0),
        ("nt", OSError(errno.EINVAL, "Invalid argument"), 0),
        ("nt", OSError(errno.EINVAL, "Invalid argument", "a file"), 1),
        ("posix", OSError(errno.EINVAL, "Invalid argument"), 1),
    ],
)
def test_a_reader_of_the_output_that_goes_away_is_nothing_wrong(
    monkeypatch: pytest.MonkeyPatch, system: str, problem: OSError, code: int
) -> None:
    """What ``fieldlog notes | head`` makes; Windows calls the closed pipe an invalid argument."""

    def printing() -> None:
        raise problem

    monkeypatch.setattr(os, "dup2", lambda *_: None)
    monkeypatch.setattr(os, "name", system)
    with pytest.raises((SystemExit, click.ClickException)) as ended:
        main.sentence_for(printing)
    monkeypatch.undo()
    assert getattr(ended.value, "exit_code", getattr(ended.value, "code", None)) == code
