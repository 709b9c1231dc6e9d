"""The horses of one note, in the order in which they were named, and which of them a group is."""

from __future__ import annotations

from dataclasses import dataclass, field

from fieldlog.language.horses.naming import Opening


@dataclass(slots=True)
class Beast:
    """One horse of the note."""

    opening: Opening
    """The words that named it first."""
    looks: set[str] = field(default_factory=set)
    """Colours, sexes, kinds, a place: what was said of it, to know it again by."""
    worked_on: bool = False
    """Whether a job was told of it."""


@dataclass(slots=True)
class Herd:
    """The horses named so far."""

    beasts: list[Beast] = field(default_factory=list)

    def place_of(self, opening: Opening) -> int:
        """Which horse is named: one named before, known again by name or looks, or a new one."""
        looks = {*opening.details.values(), *opening.looks}
        for at in reversed(range(len(self.beasts))):
            beast = self.beasts[at]
            if opening.name and beast.opening.name.lower() == opening.name.lower():
                beast.looks |= looks
                return at
            if not opening.name and looks and self._is(looks, beast):
                return at
        self.beasts.append(Beast(opening, looks))
        return len(self.beasts) - 1

    @staticmethod
    def _is(looks: set[str], beast: Beast) -> bool:
        """Whether a description can be of a horse: all of it was said of that horse."""
        return looks <= beast.looks

    def last(self, count: int) -> list[int]:
        """The last horses that were worked on, or just the last ones, in order.

        Args:
            count: how many; 0 for all.

        Returns:
            Fewer if there are not so many.
        """
        worked = [at for at, beast in enumerate(self.beasts) if beast.worked_on]
        every = list(range(len(self.beasts)))
        if not count:
            return worked or every
        return (worked if len(worked) >= count else every)[-count:]

    def looking(self, looks: set[str], count: int) -> list[int]:
        """The last horses of which one of some looks was told, in order (``count`` as ``last``)."""
        alike = [at for at, beast in enumerate(self.beasts) if looks & beast.looks]
        return alike[-count:] if count else alike
