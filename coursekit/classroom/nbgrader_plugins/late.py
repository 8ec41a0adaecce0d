"""Late work: nbgrader's plug-in for the rule in a class's `[late]`."""

from __future__ import annotations

from nbgrader.plugins import BasePlugin
from traitlets import Float

from coursekit.classroom.register.class_toml import Late


class PerDay(BasePlugin):  # type: ignore[misc]
    """Takes a share of the marks for each day begun after the due time."""

    per_day = Float(0.0, help="Per cent of the marks for each day begun.").tag(config=True)
    most = Float(100.0, help="Per cent of the marks at most.").tag(config=True)
    grace_hours = Float(0.0, help="Hours after the due time that still count as in time.").tag(
        config=True
    )

    def late_submission_penalty(
        self, student_id: str, score: float, total_seconds_late: float
    ) -> float | None:
        """Return the marks that the work loses, or None if it is not late."""
        rule = Late(self.per_day, self.most, self.grace_hours)
        return rule.penalty(score, total_seconds_late)
