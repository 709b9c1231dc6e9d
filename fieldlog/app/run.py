"""Starting the app; the command line calls this."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from fieldlog.config import Settings
from fieldlog.errors import NoLoudspeaker
from fieldlog.paths import Places

if TYPE_CHECKING:
    from fieldlog.app.desk import MakeRecogniser
    from fieldlog.app.second_pass import MakeSecond
    from fieldlog.sound.capture import Microphone
    from fieldlog.sound.player import Player
    from fieldlog.speech.recogniser import Recogniser


def run_app(
    places: Places,
    settings: Settings,
    make_recogniser: MakeRecogniser | None = None,
    player: Player | None = None,
    make_microphone: Callable[[], Microphone] | None = None,
    start: str = "day",
    today: Callable[[], date] = date.today,
    make_second: MakeSecond | None = None,
    notice: str = "",
) -> None:
    """Run the app until the farrier quits. Drafts, records and sounds lie in ``places``.

    What C libraries write meanwhile goes to ``native.log`` in the cache folder, not on the screen.

    Args:
        places: whose records (the user's, or the demo's own).
        settings: the farrier's.
        make_recogniser: makes a fresh reader for one note, given the names of the day; None: the
            model that the settings or the usual folders give, loaded when first needed.
        player: None: the system's loudspeaker; without one nothing is played.
        make_microphone: None: the system's microphone that the settings name.
        start: the first screen: ``day``, ``record``, ``due``, ``search`` or ``horse``.
        today: the day that "due today" means.
        make_second: opens the second reader; None: the one that the settings name, if it is
            installed.
        notice: told first, on the day screen.

    Raises:
        ValueError: no such screen.
    """
    from fieldlog.app.desk import Desk
    from fieldlog.app.main import FieldlogApp
    from fieldlog.sound.quiet import native_noise_to

    with native_noise_to(places.cache / "native.log"):
        desk = Desk(
            places,
            settings,
            make_recogniser or _usual_reader(places, settings),
            player or _system_player(),
            make_microphone,
            today,
            make_second=make_second or _usual_second(places, settings),
            notice=notice,
        )
        FieldlogApp(desk, start).run()


def _system_player() -> Player | None:
    from fieldlog.sound.player import SystemPlayer

    try:
        return SystemPlayer()
    except NoLoudspeaker:
        return None


def _usual_second(places: Places, settings: Settings) -> MakeSecond | None:
    from fieldlog.speech.second_apart import open_second, wanted

    return (lambda: open_second(settings, places)) if wanted(settings, places) else None


def _usual_reader(places: Places, settings: Settings) -> MakeRecogniser:
    def make(names: Sequence[str]) -> Recogniser:
        from fieldlog.speech.opening import open_recogniser

        return open_recogniser(settings, places, names=names)

    return make
