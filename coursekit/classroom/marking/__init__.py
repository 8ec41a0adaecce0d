"""Reads an answer, marks it by the key, and keeps the marked work."""
