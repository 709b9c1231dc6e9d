"""What a number means: a measure, the size of a finding, an amount of work, a count."""
