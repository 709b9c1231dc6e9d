"""Where horses stand: one spelling of each barn."""

from __future__ import annotations

from fieldlog.records.base import Connection


class Barns(Connection):
    """The barns, which are only known by the horses that stand there."""

    def _one_spelling(self, barn: str, before: str = "") -> str:
        """The barn as others are noted at it: “alder creek” is no second stop of a trip.

        Where only the capitals of a horse's own barn change (``before``), all go along.
        """
        if barn.casefold() == before.casefold() and barn != before:
            with self.write():
                self.run("UPDATE horses SET barn = ? WHERE barn = ?", [barn, before])
            return barn
        return self._barn_with_horses(barn) or self._barn_called(barn)

    def _barn_with_horses(self, barn: str) -> str:
        """The barn as it is written where horses stand; empty if none does."""
        known = self.one(
            """SELECT barn FROM horses WHERE barn = ? COLLATE NOCASE AND same_as IS NULL
               LIMIT 1""",
            [barn],
        )
        return str(known["barn"]) if known else ""

    def _barn_called(self, barn: str) -> str:
        """What an empty barn is called now; a name that was taken up again later leads nowhere."""
        since = 0
        while row := self.one(
            """SELECT id, stays FROM spellings WHERE what = 'barn' AND name = ? COLLATE NOCASE
               AND parted_at IS NULL AND id > ? ORDER BY id DESC LIMIT 1""",
            [barn, since],
        ):
            barn, since = row["stays"], row["id"]
            if there := self._barn_with_horses(barn):
                return there
        return barn
