"""What a word means beside its neighbours, where a pattern alone would take it for another."""
