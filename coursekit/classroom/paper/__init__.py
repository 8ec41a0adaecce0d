"""Answers that came on paper, typed in.

They become a notebook, with each answer as it was written, so that running, marking, gradebook and
feedback need no code of their own for paper. A notebook that the student handed in is never
replaced unasked.
"""
