"""Facts made of units: feet, places, sizes, how they compare, and those told again of a foot."""
