"""Numbers, ranges and units as they are spoken, typed or split; nothing is guessed here."""
