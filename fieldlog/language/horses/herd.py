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
    told: int = 0
    """How far it was told of: 2 for a job, 1 for anything else, 0 for its name alone."""


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

    def named(self, name: str) -> int | None:
        """The horse with a name; None if none has it."""
        names = [beast.opening.name.lower() for beast in self.beasts]
        return names.index(name.lower()) if name.lower() in names else None

    @staticmethod
    def _is(looks: set[str], beast: Beast) -> bool:
        """Whether a description can be of a horse: all of it was said of that horse."""
        return looks <= beast.looks

    def last(self, count: int) -> list[int]:
        """The last horses that were worked on, else those that were told of, in order.

        Args:
            count: how many; 0 for all.

        Returns:
            Fewer if there are not so many.
        """
        every = range(len(self.beasts))
        if not count:
            return [at for at in every if self.beasts[at].told] or list(every)
        likeliest = sorted(every, key=lambda at: (self.beasts[at].told, at))
        return sorted(likeliest[-count:])

    def looking(self, looks: set[str], count: int) -> list[int]:
        """The last horses of which one of some looks was told, in order (``count`` as ``last``)."""
        alike = [at for at, beast in enumerate(self.beasts) if looks & beast.looks]
        return alike[-count:] if count else alike
