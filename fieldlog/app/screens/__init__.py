"""One module per screen; each asks the desk for data and shows it."""
