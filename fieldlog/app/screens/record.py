"""Dictating with both hands full: start it, put the computer away, look at it from two steps."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import get_current_worker

from fieldlog.app.keys import Key, bindings
from fieldlog.app.recording_state import RecordingState, after
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.pick import Answer, Picked, PickScreen
from fieldlog.app.shown import plain
from fieldlog.app.widgets.recorder import RecorderView
from fieldlog.errors import FieldlogError
from fieldlog.speech.events import Event, Finished

if TYPE_CHECKING:
    from fieldlog.speech.handsfree import HandsFree

SAY = (
    "Say the foot, then what you see: “left front, toe three and a quarter, bit of thrush in the "
    "central sulcus”. “New horse” and its name begins the next; “scratch that” takes the last "
    "thing back; “end of horse” closes it; “stop recording” ends."
)
CAUTION = (
    "CAUTION  Do not touch a screen under a horse, and do not look away from the horse to read "
    "this. Start it at the truck, speak between feet, stop by voice or back at the truck."
)
READY = (
    "Nothing is recorded yet.\n\n"
    "Press Enter to start. The sound is written to disk as it comes, before anything is read, so "
    "a flat battery costs a second at most. Afterwards the note waits on the Day screen.\n\n" + SAY
)
AFTER = "Enter records the next note. 1 goes to the draft of this one."


class RecordScreen(ToolScreen):
    """One recording after the other."""

    NAME = "record"
    ABOUT = (
        "Records what you say and reads along, with both your hands free. "
        + SAY
        + " Short tones answer: one high blip for a foot understood, two rising for a note kept, "
        "one long falling for words not understood. " + CAUTION
    )
    KEYS = (
        Key("enter,space,r", "switch", "Enter", "start; once it runs, stop and keep", "start/stop"),
        Key("n", "again", "n", "after a recording: begin the next one", "next"),
        Key("m", "microphone", "m", "choose the microphone", "microphone"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    class Happened(Message):
        """One event of the recording, from its own threads."""

        def __init__(self, event: Event) -> None:
            super().__init__()
            self.event = event

    class Refused(Message):
        """The recording could not start."""

        def __init__(self, problem: FieldlogError) -> None:
            super().__init__()
            self.problem = problem

    def __init__(self) -> None:
        super().__init__()
        self.state = RecordingState()
        self._recording: HandsFree | None = None

    def body(self) -> list[Widget]:
        return [
            RecorderView(self.tool.desk.settings.british_names),
            Static(READY, id="say", markup=False),
        ]

    def above_answer(self) -> list[Widget]:
        return [Static(CAUTION, id="caution", markup=False)]

    def on_mount(self) -> None:
        self.show(self.state)

    def show(self, state: RecordingState) -> None:
        """Draw a state."""
        self.state = state
        self.tool.recording = state.running
        self.query_one(RecorderView).show(state)
        say = self.query_one("#say", Static)
        say.update(READY if state.phase in ("ready", "failed") else AFTER)
        # While it runs, every row belongs to what was understood and to the caution.
        say.display = state.phase in ("ready", "failed", "kept")

    def action_switch(self) -> None:
        """Start, or stop and keep."""
        match self.state.phase:
            case "ready" | "failed" | "kept":
                self.action_again()
            case "recording" | "waiting":
                self.show(replace(self.state, phase="stopping"))
                if self._recording is not None:
                    self._recording.stop()
            case _:
                self.answer.tell("One moment.")

    def action_again(self) -> None:
        """Begin a recording."""
        if self.state.phase in ("recording", "waiting", "stopping", "starting"):
            self.answer.tell("A recording is running. Enter stops it and keeps it.")
            return
        self.answer.clear()
        self.show(RecordingState(phase="starting"))
        self._start()

    async def action_microphone(self) -> None:
        """Choose what is recorded with, until the app is left."""
        if self.state.phase in ("recording", "waiting", "stopping", "starting"):
            self.answer.tell("A recording is running. Enter stops it and keeps it.")
            return
        try:
            names = await self.tool.desk.microphones()
        except FieldlogError as problem:
            self.trouble(problem)
            return
        if not names:
            self.answer.refuse("There is no microphone. Plug one in and press m again.")
            return

        def answered(answer: Answer | None) -> None:
            if isinstance(answer, Picked):
                self.tool.desk.microphone = names[answer.index]
                self.answer.done(f"Recording with {plain(names[answer.index])}.")

        now = self.tool.desk.microphone or "the system's own choice"
        self.app.push_screen(PickScreen("Microphone", f"now: {now}", names), answered)

    @work(thread=True, exclusive=True, exit_on_error=False, group="recording")
    def _start(self) -> None:
        """Load the reader, open the microphone: both may take seconds."""
        worker = get_current_worker()
        try:
            running = self.tool.desk.new_recording(
                lambda event: self.post_message(self.Happened(event))
            )
            if worker.is_cancelled:
                return
            self._recording = running
            running.start()
        except FieldlogError as problem:
            self._recording = None
            self.post_message(self.Refused(problem))

    def on_record_screen_refused(self, message: Refused) -> None:
        """Nothing was recorded; say why."""
        self.show(RecordingState())
        self.trouble(message.problem)

    async def on_record_screen_happened(self, message: Happened) -> None:
        """Follow the recording."""
        self.show(after(self.state, message.event))
        if isinstance(message.event, Finished):
            self._recording = None
            outcome = message.event.outcome
            if outcome.sound is None:
                return
            self.answer.tell("Kept. Understanding what was said…")
            try:
                said = await self.tool.desk.keep_recording(outcome)
            except FieldlogError as problem:
                self.trouble(problem)
            else:
                self.answer.done(said)
                self.tool.read_again()

    def action_back(self) -> None:
        """A running recording is never stopped by Esc."""
        if self.state.phase in ("recording", "waiting", "starting", "stopping"):
            self.answer.tell("The recording goes on. Enter stops it and keeps it.")
        else:
            super().action_back()
