"""What is said of one more foot without saying the thing again: "same on the right"."""
