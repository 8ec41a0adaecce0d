"""Figures of the book: each takes domain objects and returns a matplotlib Figure."""
