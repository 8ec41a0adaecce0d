"""Draws a figure of a lesson for the Report page, by the code on the lesson's page."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.bank.lesson_figures import figure_at
from coursekit.classroom.register.class_folder import ClassFolder
from coursekit.desk.tasks import Facts, Said, Tell

KEEP_BEFORE = False  # it changes nothing


def run(folder: ClassFolder, root: Path, said: Said, tell: Tell) -> Facts:
    """Return the picture as SVG, "" if there is none or its code fails."""
    from coursekit.book import sketches

    figure = figure_at(root, said["lesson"], said["cell"])
    return {"svg": sketches.pen(root)(figure) if figure else ""}
