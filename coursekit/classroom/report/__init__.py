"""What students and the instructor get to see: feedback, item analysis, the report, reminders.

Feedback shows none of the kit's hidden code and no traceback from inside the kit. The report is one
page for the evening before the next session: `class_page` gathers its facts and writes nothing,
`page_words` puts them in words, `class_report` makes page and PDF. The whole report, with every
mark, question and reading, is made on request, from `class_facts`.
"""
