"""Reads and writes nbgrader's gradebook."""
