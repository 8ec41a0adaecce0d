"""What a class is told: feedback, item analysis, the report, reminders."""
