"""What students and the instructor get to see: feedback, item analysis, the report, reminders.

Feedback shows none of the kit's hidden code and no traceback from inside the kit. The report is a
page, a PDF and CSV tables, all made from the same facts.
"""
