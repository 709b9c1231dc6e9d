"""Days, periods and times gone by, counted from the day of the recording."""
