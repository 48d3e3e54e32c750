"""Hears, understands, answers and speaks. May import `scheduling` and `domain`."""
