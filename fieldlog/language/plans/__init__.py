"""What is to come: follow-ups, next visits, what they hang on and who does them."""
