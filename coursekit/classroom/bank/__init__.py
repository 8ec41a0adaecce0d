"""An exercise, its key, a student's own numbers, and the notebook made from them.

A question's public half stands in `exercises/<slug>.md`, its answer, slips and worked solution in
`solutions/`. Everything that a class sees of it is made from those two.

Decisions:

- Two sets of questions in one bank. Practice cards show hints, and the hints of marked questions
  must stay private, so the cards have questions of their own (`set: practice`) in the same files.
- Own numbers are drawn by one HMAC for each quantity, so that adding a quantity later leaves all
  the others as they were. A case that the key does not call sound is drawn again.
- Readings that belong together (a leaning tube, a gauge off its zero, scatter) are made by the
  key's `@key.makes`. Its chance is seeded like own numbers, its values are rounded to the range's
  step, and its truth is in no student's file. Once a class has the exercise, a maker is frozen.
- A question's id is frozen once a class has the exercise, because it is the cell's id in every
  notebook and gradebook. A question's variable must not be called like a quantity, a Python word
  or a name of the notebook's first cell.
- A student's copy is rebuilt, not trusted. Before it runs, every locked cell gets the release's
  text again; only answer cells and added cells keep what the student wrote. That needs no
  database and gives what nbgrader's own rules give (of duplicated cells the last one counts).
"""
