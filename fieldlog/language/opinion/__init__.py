"""A second opinion on what was said, by a small network; what it changes is marked."""
