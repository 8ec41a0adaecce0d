"""What a class is told: feedback, item analysis, the report, reminders.

Feedback shows no hidden code and no traceback of this kit. The report is a page, a PDF and CSV
tables, all made from the same facts.
"""
