"""Which foot, and where on it: names of feet, the foot in hand, places."""
