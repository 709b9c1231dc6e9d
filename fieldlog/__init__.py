"""fieldlog: a farrier's spoken field notes, turned offline into reviewed, saved records."""

__version__ = "0.1.0"
