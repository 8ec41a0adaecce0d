"""The invented class that shows the whole course at work."""
