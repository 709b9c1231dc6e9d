"""Horses that are visited no more, sold or dead, and those that come back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fieldlog.errors import InputError
from fieldlog.records.followups import FollowUps
from fieldlog.records.types import FollowUp, FollowUpState


class Leaving(FollowUps):
    """What was noted of such a horse stays; it is due no more."""

    def horse_left(self, horse_id: str, why: str, day: date) -> list[FollowUp]:
        """From ``day`` on the horse is visited no more; returns its promises, dropped with it.

        It is back when a visit after that day is saved, or by ``horse_back``.

        Raises:
            InputError: no reason is given.
        """
        why = " ".join(why.split())
        if not why:
            raise InputError("Say why it is visited no more.", "For example: sold.")
        with self.write():
            horse = self.horse(horse_id)
            reason = _reason(why)
            dropped = [
                self.drop_follow_up(f.id, reason) for f in self.follow_ups(horse_id=horse_id)
            ]
            self.update_horse(replace(horse, left_on=day.isoformat(), left_why=why))
        return dropped

    def horse_back(self, horse_id: str) -> list[FollowUp]:
        """The horse is visited again; returns the promises that were dropped when it left.

        Raises:
            InputError: it never left.
        """
        with self.write():
            horse = self.horse(horse_id)
            if not horse.left_on:
                raise InputError(
                    f"{horse.name} did not leave.", "“fieldlog horses” lists those that did."
                )
            dropped = self.follow_ups(FollowUpState.DROPPED, horse_id=horse_id)
            reason = _reason(horse.left_why)
            opened = [self.reopen_follow_up(f.id) for f in dropped if f.reason == reason]
            self.update_horse(replace(horse, left_on="", left_why=""))
        return opened


def _reason(why: str) -> str:
    """What a promise is dropped with, by which it is known when the horse comes back."""
    return f"the horse left: {why}"
