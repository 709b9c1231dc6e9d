"""Which horse a name means, and how horses of one name are told apart."""

from __future__ import annotations

from fieldlog.errors import InputError, NotFound
from fieldlog.records.horses import Horses
from fieldlog.records.names import CLOSE_NAME, key_of, likeness
from fieldlog.records.types import Horse

_SHORT = 8
"""Letters of an id that are enough to type."""


class HorsesNamed(Horses):
    """The horses by their names."""

    def horse_names(self) -> list[str]:
        """Every name by which a horse may be spoken of."""
        return [h.name for h in (*self.horses(), *self.spelt_otherwise())]

    def find_horses(self, name: str) -> list[Horse]:
        """Horses whose name is, sounds or looks like ``name``, the likeliest first."""
        wanted = key_of(name)
        if not wanted:
            return []
        every = (*self.horses(), *self.spelt_otherwise())
        scored = [(likeness(wanted, key_of(h.name)), h) for h in every]
        close = [(s, h) for s, h in scored if s >= CLOSE_NAME]
        found = [self.standing(h.id) for _, h in sorted(close, key=lambda pair: -pair[0])]
        return list({h.id: h for h in found}.values())

    def horse_named(self, name: str) -> Horse:
        """The one horse meant by a typed name or the beginning of one; it may be told from others
        as ``full_name`` does.

        Raises:
            NotFound: none, with the closest names in the remedy.
            InputError: several horses share the name.
        """
        found = self.find_horses(name)
        exact = [h for h in found if key_of(h.name) == key_of(name)]
        if not exact:
            exact = self._with_owner(name) or self._spelt(name)
        if len(exact) == 1:
            return exact[0]
        if exact:
            names = " or ".join(f'"{self.full_name(h)}"' for h in exact)
            raise InputError(f"Several horses are called {exact[0].name}.", f"Say which: {names}.")
        begun = [h for h in found if key_of(h.name).startswith(key_of(name))]
        if len(found) == len(begun) == 1:
            return found[0]  # a mistyped name is asked about: a note or a letter would go astray
        close = ", ".join(self.full_name(h) for h in found[:3])
        raise NotFound(
            f"There is no horse called “{name}”.",
            f"Did you mean {close}?"
            if close
            else "“fieldlog horses” lists them; “fieldlog horses add NAME” adds one.",
        )

    def _spelt(self, name: str) -> list[Horse]:
        """Horses of which ``name`` is another spelling."""
        spelt = [h for h in self.spelt_otherwise() if key_of(h.name) == key_of(name)]
        return list({h.id: h for h in (self.standing(s.id) for s in spelt)}.values())

    def full_name(self, horse: Horse) -> str:
        """How a horse is told from others of its name: ``Juniper of Marta Ellery``, or where one
        owner has both, of its barn; else by its id.

        ``horse_named`` understands it.
        """
        twins = self.twins(horse)
        if not twins:
            return horse.name
        if horse.client and all(t.client_id != horse.client_id for t in twins):
            return f"{horse.name} of {horse.client}"
        if horse.barn and all(
            key_of(horse.barn) not in (key_of(t.barn), key_of(t.client)) for t in twins
        ):
            return f"{horse.name} of {horse.barn}"
        return f"{horse.name} of {horse.id[:_SHORT]}"

    def twins(self, horse: Horse) -> list[Horse]:
        """The other horses of the same name."""
        wanted = key_of(horse.name)
        return [h for h in self.horses() if h.id != horse.id and key_of(h.name) == wanted]

    def told_apart(self) -> dict[str, str]:
        """What a list calls the horses that share their name: the full name of each, by its id."""
        named: dict[str, list[Horse]] = {}
        for horse in self.horses():
            named.setdefault(key_of(horse.name), []).append(horse)
        shared = (h for same in named.values() if len(same) > 1 for h in same)
        return {h.id: self.full_name(h) for h in shared}

    def _with_owner(self, name: str) -> list[Horse]:
        """Horses meant by ``NAME of`` an owner, a barn or an id; if none fits, those to choose."""
        wanted = key_of(" ".join(name.split()))
        named = [h for h in self.horses() if wanted.startswith(f"{key_of(h.name)} of ")]
        longest = max((len(key_of(h.name)) for h in named), default=0)
        named = [h for h in named if len(key_of(h.name)) == longest]
        owner = wanted[longest + len(" of ") :]
        exact = [h for h in named if owner in (key_of(h.client), h.id, h.id[:_SHORT])]
        exact = exact or [h for h in named if owner == key_of(h.barn)]
        # A single horse of that name but another owner is not the one that was meant.
        return exact or (named if len(named) > 1 else [])

    def names_of_the_day(self) -> list[str]:
        """Horse, client and barn names for the recogniser, no doubles."""
        horses, clients = self.horses(), self.clients()
        names = {h.name for h in (*horses, *self.spelt_otherwise()) if not h.forgotten}
        names |= {client.name for client in clients if not client.forgotten}
        return sorted(names | {horse.barn for horse in horses if horse.barn})
