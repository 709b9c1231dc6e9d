"""Which horse: where one is named, described or spoken of with others."""
