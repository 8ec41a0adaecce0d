"""An exercise, its key, a student's own numbers, and the notebook made from them.

A question's public half stands in `exercises/<slug>.md`, its answer, slips and worked solution in
`solutions/<slug>.md`. Everything that a class sees of it is made from those two.

Decisions:

- Two sets of questions in one bank. Practice cards show hints, and the hints of marked questions
  must stay private, so the cards have questions of their own (`set: practice`) in the same files.
- An answer is one expression in the names of quantities, and its slips and their hints stand beside
  it, so that whoever teaches can write and check a question without Python. `simpleeval` works the
  expressions out by walking the parsed tree, so that a typing mistake (an unknown name, a power
  that never ends) comes to no more than a message in words. It is not there to keep anybody out,
  because `solutions/<slug>.py` is Python that runs as it is. It takes about 20 µs longer than a
  function does, some 65 times for each student.
- Expressions use the same mathematical functions as the student's notebook, with angles in radians.
  A second set in degrees would give `sin` two meanings, and some slips are about just that.
- An earlier question's name stands for what the student answered there, so the expression itself
  shows which questions build on which. `after:` is needed only for the earlier answers that a
  function looks at, because they don't show in the expression.
- What takes more than one expression is a function in `solutions/<slug>.py` that an answer calls,
  so that all slips of a question stand in one place and in the order in which they are marked.
- A series of readings is one block of the head with one range, wide enough for all of its readings.
- One frame a student. It is drawn whole, by the same HMAC, from `exercises/frames.toml`, until it
  can be built; lessons take their numbers from it (`from: frame.…`) and round them in one place, so
  what two lessons share is one number. A student's real frame takes its place. What was handed out
  keeps its numbers. A lesson whose key refuses a frame draws another, whole and for itself alone,
  and says so on the sheet: single questions of another frame would not hang together.
- A frame is what it is: where a slip happens to give the right answer with it, the case stands,
  and marking takes the right answer first. The proof still refuses a slip that does so often.
- Own numbers are drawn by one HMAC for each quantity, so that adding a quantity later leaves all
  the others as they were. A case that the key does not call sound is drawn again.
- Readings that belong together (a leaning tube, a gauge that does not read zero, scatter) are made
  by the key's `@key.makes`. Its random numbers are seeded in the same way as own numbers, its
  values are rounded to the range's step, and no student's file shows the truth behind them. Once a
  class has the exercise, a maker is frozen.
- A question's id is frozen once a class has the exercise, because it is the cell's id in every
  notebook and gradebook. A question's variable must not be called like a quantity, a Python word
  or a name of the notebook's first cell.
- A student's copy is rebuilt, not trusted. Before it runs, every locked cell gets the release's
  text again; only answer cells and added cells keep what the student wrote. That needs no
  database and gives what nbgrader's own rules give (of duplicated cells the last one counts).
"""
