"""Plug-ins with which nbgrader's own commands run this kit's marking."""
