"""Reads an answer, marks it by the key, and keeps the marked work.

Decisions:

- Carry-forward comes before slips, and units before slips. A later answer that follows from an
  earlier mistake often equals a slip of its own, and the student has made one mistake. A right
  value in the wrong unit earns half: the calculation was understood, but the bench would not
  forgive it.
- A wrong answer within five tolerances is told that it is near, but not near enough. It earns no
  marks.
- Plain values are kept. `autograded/<student>/<slug>/marks.json` holds what the run brought back.
  Each `mark` marks all of it again from there, which takes milliseconds, and writes only what
  differs; so a mended key, tolerance or domain formula needs no run, and a lost or harmed
  gradebook is made again. The record is written last, after the gradebook's commit: work without
  a record that fits is done again.
"""
