"""What the farrier takes back or changes while speaking, and the facts put right by it."""
