"""The figures of the book: each function takes numbers or domain objects, returns a figure.

Figures are drawn in mm, with text of 10 pt or more at 5 in wide, legible in black and white, and
every one has an alt text.
"""
