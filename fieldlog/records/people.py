"""Clients, horses and visits."""

from __future__ import annotations

from fieldlog.records.horses_named import HorsesNamed
from fieldlog.records.visits import Visits


class People(HorsesNamed, Visits):
    """Who the horses are, whose, and when they were visited."""
