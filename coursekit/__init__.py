"""Geometry, tube mechanics, paper and marking for a course in brazed steel bicycle frames."""

__version__ = "0.1.0"
