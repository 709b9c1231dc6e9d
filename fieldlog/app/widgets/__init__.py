"""Widgets, one per area of the screen. They show what they are given and post typed messages."""
