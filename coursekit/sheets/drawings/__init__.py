"""Drawings of a student's own case, one module a lesson, each with `draw(numbers) -> Drawing`."""
