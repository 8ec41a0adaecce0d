"""Answers that came on paper, typed in.

They become a notebook, each answer as it was written, so that running, marking, gradebook and
feedback need not know paper. A notebook that the student handed in is never replaced unasked.
"""
