"""The invented class that shows the whole course at work: neither people nor readings are real."""
