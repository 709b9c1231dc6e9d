"""The ``fieldlog`` command: a list of subcommands that load only when they are called."""

from __future__ import annotations

import errno
import importlib
import os
import sys
from collections.abc import Collection
from difflib import get_close_matches
from pathlib import Path
from typing import Any

import click

from fieldlog import __version__
from fieldlog.cli.installed import REMEDY, told
from fieldlog.cli.printable import print_what_can_be_printed
from fieldlog.cli.session import Session, say
from fieldlog.errors import FieldlogError

COMMANDS: dict[str, tuple[str, str]] = {
    "record": ("sound", "Record a note with the microphone, hands free."),
    "import": ("sound", "Take in sound files that were recorded elsewhere."),
    "type": ("typing", "Type a note, where you cannot speak."),
    "read": ("sound", "Read recordings that were kept without being read."),
    "drafts": ("notes", "List notes that wait to be looked at."),
    "review": ("notes", "Open the app: look at drafts, correct, save."),
    "save": ("notes", "Save drafts without opening the app."),
    "notes": ("saved", "Saved notes: list, show, correct."),
    "follow-ups": ("followups", "What was promised, when, by whom."),
    "search": ("find", "Search saved notes by words and filters."),
    "horse": ("find", "One horse: before the visit, history, trends."),
    "day": ("find", "The day sheet: who is due, at which barn."),
    "clients": ("people", "List, add or change owners."),
    "horses": ("people", "List, add or change horses."),
    "barns": ("barns", "Where horses stand; a barn's name."),
    "paper": ("paper", "Summaries, letters and records as PDF, HTML or text."),
    "data": ("data", "Export, import, back up, restore and verify everything."),
    "voice": ("voice", "Let the recogniser learn your voice."),
    "models": ("models", "Speech models: list, check, fetch."),
    "settings": ("care", "Where the settings file is and what is set."),
    "doctor": ("care", "Check what works on this machine."),
    "demo": ("demo", "An invented working day, from sixteen spoken notes to records."),
}
"""Each command's module (``fieldlog.cli.<module>_commands``) and its line in the list."""

SECTIONS = {
    "On the job": ("record", "import", "type", "read", "drafts", "review", "save"),
    "Afterwards": ("follow-ups", "search", "notes", "horse", "day", "paper"),
    "Your practice": ("clients", "horses", "barns", "data"),
    "This machine": ("voice", "models", "settings", "doctor", "demo"),
}


class CarefulCommand(click.Command):
    """A command whose errors are sentences: what happened, and what to do."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        try:
            return super().parse_args(ctx, args)
        except click.UsageError as problem:
            from fieldlog.cli.usage import retold

            told = retold(ctx, problem)
            raise (_Shown(told) if isinstance(told, FieldlogError) else told) from problem

    def invoke(self, ctx: click.Context) -> Any:
        return sentence_for(lambda: super(CarefulCommand, self).invoke(ctx))


class CarefulGroup(click.Group):
    """A group of careful commands; its list gives each one's whole first sentence."""

    command_class = CarefulCommand
    instead = ""
    """What somebody may have wanted who gives a name where a command belongs; or empty."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Without a subcommand a group lists, so its list's options may follow it at once."""
        own = {option for param in self.get_params(ctx) for option in param.opts}
        if args and args[0].startswith("-") and args[0] not in own and "list" in self.commands:
            args = ["list", *args]
        return super().parse_args(ctx, args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        _refuse_unknown(ctx, args[0] if args else "", self.commands, self.instead)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        found = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        rows = [(name, command.get_short_help_str(120)) for name, command in found if command]
        if rows:
            with formatter.section("Commands"):
                formatter.write_dl(rows)


def _refuse_unknown(
    ctx: click.Context, name: str, known: Collection[str], instead: str = ""
) -> None:
    """Name the likely ones instead of a command that is not there, and where all stand."""
    if not name or name.startswith("-") or name in known:
        return
    close = [c for c in known if c.startswith(name[:3]) or name in c]
    close = close or get_close_matches(name, known, n=2)
    hint = f" Did you mean {' or '.join(close)}?" if close else instead and f" {instead}"
    what = " ".join([*ctx.command_path.split()[1:], name])
    ctx.fail(f"There is no command “{what}”.{hint} “{ctx.command_path} --help” lists them all.")


class _Shown(click.ClickException):
    """An error of ours, printed by click with our exit code."""

    def __init__(self, problem: FieldlogError) -> None:
        super().__init__(str(problem))
        vars(self)["exit_code"] = problem.exit_code

    def show(self, file: Any = None) -> None:
        say(f"fieldlog: {self.message}", err=True)


def sentence_for(work: Any) -> Any:
    """Run ``work``; turn our errors, and the system's, into one sentence."""
    try:
        return work()
    except FieldlogError as problem:
        raise _Shown(problem) from problem
    except ImportError as problem:
        words = told(problem)
        if not words:
            raise
        raise _Shown(FieldlogError(words, REMEDY)) from problem
    except OSError as problem:
        if _nobody_reads(problem):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise SystemExit(0) from None
        where = f" ({problem.filename})" if problem.filename else ""
        raise _Shown(
            FieldlogError(
                f"The system refused{where}: {problem.strerror or problem}.",
                "Check the disk's room and the permissions, then try again.",
            )
        ) from problem


def _nobody_reads(problem: OSError) -> bool:
    """Whether the reader of our output went away (``| head``), which is nothing wrong.

    Windows calls a closed pipe an invalid argument.
    """
    closed = os.name == "nt" and problem.errno == errno.EINVAL and problem.filename is None
    return isinstance(problem, BrokenPipeError) or closed


class LazyGroup(click.Group):
    """The top: knows every command's line, loads a command's module on its first use."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        name = f"fieldlog.cli.{COMMANDS[cmd_name][0]}_commands"
        module = sentence_for(lambda: importlib.import_module(name))
        command = getattr(module, f"{cmd_name.replace('-', '_')}_command")
        return command if isinstance(command, click.Command) else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        _refuse_unknown(ctx, args[0] if args else "", COMMANDS)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        for title, names in SECTIONS.items():
            with formatter.section(title):
                formatter.write_dl([(name, COMMANDS[name][1]) for name in names])


@click.group(
    cls=LazyGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 96},
)
@click.version_option(__version__, "-V", "--version", message="fieldlog %(version)s")
@click.option(
    "--home",
    type=click.Path(file_okay=False, path_type=Path),
    help="Keep everything in this folder instead of your own (same as FIELDLOG_HOME).",
)
@click.pass_context
def cli(ctx: click.Context, home: Path | None) -> None:
    """Spoken field notes of a farrier, turned offline into reviewed, saved records.

    \b
    A working day in four steps:
      1. fieldlog record            talk between feet, or
         fieldlog import FOLDER     take in what a phone or recorder holds
      2. fieldlog review            in the truck: look, correct, save
      3. fieldlog follow-ups        what was promised, when, by whom
      4. fieldlog paper owner NAME  a summary for the owner

    What you say stays on this machine. “fieldlog COMMAND --help” explains each command;
    “fieldlog demo” shows it all on an invented day.
    """
    ctx.obj = Session(home)
    ctx.call_on_close(ctx.obj.close)


def main() -> None:
    """Run the command line as the installed command does."""
    print_what_can_be_printed()
    cli(prog_name="fieldlog")
