"""The words of a note and the marks made of them: tokens, patterns, marks, units."""
