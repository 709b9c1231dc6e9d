"""``drafts``, ``review`` and ``save``: from what was understood to what is on record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

import click

from fieldlog.cli.main import CarefulCommand
from fieldlog.cli.second import word_lines
from fieldlog.cli.session import (
    Session,
    json_option,
    pass_session,
    plain,
    print_json,
    read_day,
    say,
    table,
)
from fieldlog.errors import InputError, NotFound

if TYPE_CHECKING:
    from fieldlog.core.words import Transcript
    from fieldlog.records.store import Store
    from fieldlog.records.types import StoredEntry

SHORT = 8
"""Characters of an id that are shown and asked for."""


@click.command("drafts", cls=CarefulCommand)
@click.argument("which", nargs=-1)
@click.option("--day", "day_text", help="Only this day: 2026-11-25, today, yesterday.")
@click.option("--words", is_flag=True, help="With WHICH: each word, its seconds and its reader.")
@click.option("--aside", is_flag=True, help="Those that were set aside.")
@click.option("--of-day", metavar="DAY", help="Say of which day WHICH are: 2026-11-25, yesterday.")
@click.option(
    "--no-horse",
    is_flag=True,
    help="Set WHICH aside as about no horse; what they promise stays on the list of follow-ups.",
)
@click.option("--bring-back", metavar="ID", help="Make a draft of one that was set aside.")
@json_option
@pass_session
def drafts_command(
    session: Session,
    which: tuple[str, ...],
    day_text: str | None,
    words: bool,
    aside: bool,
    of_day: str | None,
    no_horse: bool,
    bring_back: str | None,
    as_json: bool,
) -> None:
    """List notes that wait to be looked at; with their short names (WHICH), show them whole.

    “to look” counts the facts that ask for a look before saving, and says so by reason when a
    draft is shown whole; a missing horse counts as one more, and so does a note without any fact.
    A draft that was set aside (D in the app, --no-horse here) is kept: --aside lists those. Where a
    recorder's clock was wrong, or a copied file lost its date, --of-day mends the day of a draft
    and what counts from it.
    """
    day = read_day(day_text, session.today) if day_text else None
    store = session.store
    if bring_back is not None:
        _bring_back(store, bring_back)
        return
    if of_day is not None:
        _give_day(session, which, of_day)
        return
    if no_horse:
        _about_no_horse(store, which)
        return
    if words and not which:
        raise InputError("--words needs the drafts it is for.", "“fieldlog drafts” lists them.")
    from fieldlog.rereading import reading_of

    def heard(draft: StoredEntry) -> Transcript | None:
        of = draft.recording_id
        return reading_of(store, of, draft.entry.text) if of else None

    found = [find_draft(store, w) for w in which] if which else store.drafts(day)
    if aside:
        found = store.set_aside()
    drafts = asked(session, found)
    if as_json:
        print_json([_data(d, heard(d) if words else None) for d in drafts])
    elif which:
        for draft in drafts:
            say(whole(draft, session.settings.british_names, store.told_apart()))
            if words:
                say("\n".join(word_lines(heard(draft))))
    elif not drafts:
        nothing = "No draft was set aside." if aside else _no_drafts(store)
        say(nothing if day is None else "No drafts on that day.")
    else:
        _list(store, drafts)
        if aside:
            say("\nTo make a draft of one again: fieldlog drafts --bring-back ID")


def _list(store: Store, drafts: Sequence[StoredEntry]) -> None:
    apart = store.told_apart()
    rows = [
        (
            d.id[:SHORT],
            f"{d.at:%Y-%m-%d %H:%M}",
            horse_of(d, apart),
            str(len(d.entry.facts)),
            str(len(to_look(d)) + (d.horse is None) + (not d.entry.facts)),
            d.entry.words,
        )
        for d in drafts
    ]
    # Whole notes are long: “fieldlog drafts WHICH” shows one in full.
    click.echo(table(("draft", "when", "horse", "facts", "to look", "words"), rows, cut=True))


def _bring_back(store: Store, short: str) -> None:
    found = [d for d in store.set_aside() if short and d.id.startswith(short.lower())]
    if len(found) != 1:
        what = "Several that were set aside start" if found else "None that was set aside starts"
        raise NotFound(f"{what} with “{short}”.", "“fieldlog drafts --aside” lists them.")
    store.undo(found[0].id)
    say(f"A draft again: {found[0].id[:SHORT]} {horse_of(found[0])}. Look at it: fieldlog review")


def _give_day(session: Session, which: tuple[str, ...], typed: str) -> None:
    from fieldlog.other_day import counted_from
    from fieldlog.typed_days import gone_day

    if not which:
        raise InputError(
            "--of-day needs the drafts it is for.",
            "For example: fieldlog drafts 14a9a208 --of-day yesterday",
        )
    store, day = session.store, gone_day(typed, session.today)
    with store.write():
        for draft in [find_draft(store, w) for w in which]:
            store.give_day(draft.id, day, counted_from(draft.entry.facts, draft.day, day))
    for short in which:
        say(whole(find_draft(store, short), session.settings.british_names, store.told_apart()))
    say("The day is mended, and what counts from it. u in the app takes it back.")


def _about_no_horse(store: Store, which: tuple[str, ...]) -> None:
    if not which:
        raise InputError(
            "--no-horse needs the drafts it is for.",
            "For example: fieldlog drafts 14a9a208 --no-horse",
        )
    drafts = [find_draft(store, w) for w in which]
    with store.write():
        promises = [p for d in drafts for p in store.set_aside_without_horse(d.id)]
    for promise in promises:
        say(f"On the list of follow-ups ({promise.id[:SHORT]}): {promise.text}")
    ids = " ".join(d.id[:SHORT] for d in drafts)
    say(f"Set aside: {ids}. To take it back: fieldlog drafts --bring-back ID")


def _no_drafts(store: Store) -> str:
    if unread := len(store.unread_recordings()):
        waits = "recording waits" if unread == 1 else "recordings wait"
        return f"No drafts yet: {unread} {waits} to be read: fieldlog read"
    aside = len(store.set_aside())
    if aside:
        were = "was" if aside == 1 else "were"
        return f"No drafts. {aside} {were} set aside: fieldlog drafts --aside"
    if store.days():
        return "No drafts. Everything is saved."
    return (
        "No notes yet: “fieldlog record” makes one, “fieldlog import FOLDER” takes sound in, "
        "“fieldlog type” is for where you cannot speak."
    )


def _data(draft: StoredEntry, heard: Transcript | None = None) -> dict[str, object]:
    return {
        "id": draft.id,
        "at": draft.at.isoformat(),
        "horse": plain(draft.horse),
        "looked_at": sorted(draft.looked_at),
        "to_look": [fact_id for fact_id, _ in to_look(draft)],
        **{"entry": draft.entry.to_dict()},
        **({"heard": heard.to_dict()} if heard is not None else {}),
    }


def whole(draft: StoredEntry, british: bool = False, apart: Mapping[str, str] | None = None) -> str:
    """A draft with its words, its facts and why they ask for a look."""
    from fieldlog.language.in_words import in_words

    entry = draft.entry
    lines = [
        f"{draft.id[:SHORT]}  {draft.at:%Y-%m-%d %H:%M}  {horse_of(draft, apart)}",
        f"  “{entry.words}”",
    ]
    for fact in entry.facts:
        look = fact.needs_look and fact.id not in draft.looked_at
        lines.append(f"  {'?' if look else ' '} {in_words(fact, british)}")
        if look:
            lines += [f"      {doubt.reason}" for doubt in fact.doubts]
    if draft.horse is None:
        lines.append(f"  ? {_whose(draft, apart or {})}")
    for passage in entry.unread:
        perhaps = " or ".join(in_words(f, british) for f in entry.offers(passage))
        lines.append(
            f"    as spoken: {passage.text}" + (f" (perhaps {perhaps})" if perhaps else "")
        )
    return "\n".join(lines)


def _whose(draft: StoredEntry, apart: Mapping[str, str]) -> str:
    """What to do about a draft of no horse on the list: the one it names may be a new one."""
    asked = f"Which horse is this? fieldlog save --horse NAME {draft.id[:SHORT]}"
    if draft.entry.horse is None or not draft.entry.horse.name:
        return f"{asked}; if it is about none: fieldlog drafts {draft.id[:SHORT]} --no-horse"
    heard = draft.entry.horse.name
    twins = [n for n in apart.values() if n.casefold().startswith(f"{heard.casefold()} of ")]
    if twins:
        names = " or ".join(f'"{twin}"' for twin in twins)
        return f"Which of them is this, {names}? fieldlog save --horse NAME {draft.id[:SHORT]}"
    name = f'"{heard}"' if " " in heard else heard
    return f"{asked}; if “{heard}” is a new one, before that: fieldlog horses add {name}"


def horse_of(draft: StoredEntry, apart: Mapping[str, str] | None = None) -> str:
    """The horse's name, or the one heard with a question mark; ``apart`` tells twins apart."""
    if draft.horse is not None:
        return (apart or {}).get(draft.horse.id, draft.horse.name)
    heard = draft.entry.horse
    return f"{heard.called}?" if heard is not None else "?"


def to_look(draft: StoredEntry) -> list[tuple[str, str]]:
    """Id and first reason of each fact that still asks for a look."""
    return [
        (fact.id, fact.doubts[0].reason)
        for fact in draft.entry.facts
        if fact.needs_look and fact.id not in draft.looked_at
    ]


def find_draft(store: Store, short: str) -> StoredEntry:
    """The draft whose id starts so.

    Raises:
        NotFound: none, or several do.
    """
    found = [d for d in store.drafts() if short and d.id.startswith(short.lower())]
    if len(found) == 1:
        return found[0]
    raise NotFound(
        f"{'Several drafts start' if found else 'No draft starts'} with “{short}”.",
        "“fieldlog drafts” lists their short names.",
    )


@click.command("save", cls=CarefulCommand)
@click.argument("which", nargs=-1)
@click.option("--horse", help="Say which horse the drafts are about before saving.")
@click.option("--sure", is_flag=True, help="Save every draft in which nothing asks for a look.")
@click.option("--all", "everything", is_flag=True, help="Save every draft that has a horse.")
@click.option("--day", "day_text", help="With --sure or --all: only this day's.")
@click.option("--yes", is_flag=True, help="With --all: do not ask.")
@json_option
@pass_session
def save_command(
    session: Session,
    which: tuple[str, ...],
    horse: str | None,
    sure: bool,
    everything: bool,
    day_text: str | None,
    yes: bool,
    as_json: bool,
) -> None:
    """Save drafts without opening the app.

    WHICH are short names from “fieldlog drafts”. A saved note is on record for good: it changes
    only by a new revision that keeps the old one (“fieldlog notes”). Looking first is better:
    “fieldlog review”.
    """
    from fieldlog.core.counting import counted

    store = session.store
    if not (which or sure or everything):
        raise InputError("Say which drafts to save.", "Name them, or use --sure or --all.")
    if horse and not which:
        raise InputError("--horse needs the drafts it is for.", "Name them as well.")
    day = read_day(day_text, session.today) if day_text else None
    chosen = _chosen(session, which, everything, day)
    if horse:
        known = store.horse_named(horse)
        with store.write():
            assigned = [store.assign_horse(d.id, known.id) for d in chosen]
        chosen = asked(session, assigned)
    chosen = _with_horse(chosen, bool(which))
    looks = {d.id: len(to_look(d)) for d in chosen}
    open_looks = sum(looks.values())
    if everything and open_looks and not yes:
        still = counted(open_looks, "fact")
        asks = "asks" if open_looks == 1 else "ask"
        click.confirm(f"{still} still {asks} for a look. Save all the same?", abort=True)
    saved = store.save_all([d.id for d in chosen])
    drafts_left = store.drafts()
    left = len(drafts_left)
    if as_json:
        print_json({"saved": [s.id for s in saved], "drafts_left": left})
        return
    _tell_saved(saved, looks, store.told_apart())
    _tell_still_open(store, saved)
    say(f"{len(saved)} saved, {counted(left, 'draft')} left.")
    if not which:
        _tell_left(asked(session, drafts_left))
    _tell_of_voice(session, saved)


def _tell_of_voice(session: Session, saved: Sequence[StoredEntry]) -> None:
    from fieldlog.voice_hint import voice_hint

    if hint := voice_hint(session.store, session.places, [s.id for s in saved]):
        say(hint)


def _with_horse(drafts: Sequence[StoredEntry], named: bool) -> list[StoredEntry]:
    """Those that can be saved.

    Raises:
        InputError: one that was named has no horse.
    """
    nameless = [d for d in drafts if d.horse is None]
    if nameless and named:
        raise InputError(
            f"The draft {nameless[0].id[:SHORT]} has no horse yet.",
            "Add --horse NAME; if it is about none, so that what it promises stays: "
            f"fieldlog drafts {nameless[0].id[:SHORT]} --no-horse",
        )
    return [d for d in drafts if d.horse is not None]


def _tell_saved(
    saved: Sequence[StoredEntry], looks: Mapping[str, int], apart: Mapping[str, str]
) -> None:
    """Say what was saved, and of each how many facts (``looks``, by its id) nobody looked at."""
    from fieldlog.core.counting import counted
    from fieldlog.core.visits import tells_of_a_visit

    for stored in saved:
        say(f"Saved {horse_of(stored, apart)} ({stored.id[:SHORT]}).")
        if not tells_of_a_visit(stored.entry):
            say("  Nothing in it was seen or done, so it counts as no visit.")
        if many := looks[stored.id]:
            told = counted(many, "fact")
            say(f"  {told} in it asked for a look and got none.")
        if not stored.entry.facts:
            say("  Nothing in it was understood; its words are kept: fieldlog notes add ID WORDS")
    if any(looks[s.id] for s in saved):
        say(
            "A saved note asks no more. Read it on the day screen of “fieldlog review” or with "
            "“fieldlog notes show ID”; what you change becomes a new revision with your reason, "
            "and the first one stays. To look before saving: fieldlog drafts ID"
        )


def _tell_still_open(store: Store, saved: Sequence[StoredEntry]) -> None:
    """Say what was put off to the visits that were saved, and nobody has marked as done."""
    from fieldlog.for_this_visit import still_open

    found = still_open(store, [s.id for s in saved])
    for line in found:
        say(f"  Put off to this visit and still open: {line.horse}: {line.text}")
    if found:
        ids = " ".join(line.id[:SHORT] for line in found)
        say(f"  What is done of it: fieldlog follow-ups done {ids}")


def _tell_left(drafts: Sequence[StoredEntry]) -> None:
    """Say of drafts that were not saved what each of them waits for."""
    nameless = [d for d in drafts if d.horse is None]
    asking = [d for d in drafts if d.horse is not None and to_look(d)]
    if nameless:
        has = "has" if len(nameless) == 1 else "have"
        say(f"  {len(nameless)} {has} no horse yet: fieldlog save ID --horse NAME, or, about none, "
            "fieldlog drafts ID --no-horse")  # fmt: skip
    bare = [d for d in drafts if d.horse is not None and not d.entry.facts]
    if bare:
        say(f"  {len(bare)} made no fact: read the words with fieldlog drafts ID")
    if asking:
        asks = "asks" if len(asking) == 1 else "ask"
        say(f"  {len(asking)} {asks} for a look: fieldlog review, or fieldlog drafts ID")


def asked(session: Session, drafts: Sequence[StoredEntry]) -> list[StoredEntry]:
    """The drafts with every doubt that the app shows: readers that differ, a low chance."""
    from fieldlog.looks import asking
    from fieldlog.rereading import with_disputes

    ask = asking(session.store, session.settings)
    found = []
    for draft in drafts:
        entry = with_disputes(session.store, draft).entry
        facts = tuple(map(ask, entry.facts))
        found.append(replace(draft, entry=replace(entry, facts=facts)))
    return found


def _chosen(
    session: Session, which: tuple[str, ...], everything: bool, day: date | None
) -> list[StoredEntry]:
    store = session.store
    if which:
        return asked(session, [find_draft(store, w) for w in which])
    drafts = asked(session, store.drafts(day))
    if everything:
        return drafts
    # Words of which nothing was understood are not sure: somebody has to read them.
    return [d for d in drafts if d.horse and d.entry.facts and not to_look(d)]


@click.command("review", cls=CarefulCommand)
@click.option(
    "--screen",
    type=click.Choice(["day", "record", "due", "search", "horse"]),
    default="day",
    show_default=True,
    help="The screen that comes first.",
)
@pass_session
def review_command(session: Session, screen: str) -> None:
    """Open the app: look at drafts against their words and sound, correct, save.

    Keys are shown at the foot of every screen; “?” explains them. Quitting keeps every draft.
    """
    from fieldlog.cli.app_start import open_app

    open_app(session.places, session.settings, session.day_now, screen)
