"""An exercise, its key, a student's own numbers, and the notebook made from them.

A question's public half stands in `exercises/<slug>.md`, its answer, slips and worked solution in
`solutions/<slug>.md`. Everything that a class sees of it is made from those two.

Decisions:

- Two sets of questions in one bank. Practice cards show hints, and the hints of marked questions
  must stay private, so the cards have questions of their own (`set: practice`) in the same files.
- An answer is one expression in the names of quantities, beside its slips and their hints, so that
  whoever teaches can write and check a question without Python. Expressions are worked out by
  `simpleeval`, which walks the parsed tree: that keeps a slip of the pen (a name that is none, a
  power without end) to a message in words. Nobody is kept out by it, for `solutions/<slug>.py` is
  Python that runs as it is. It takes some 20 µs more than a function does, 65 times a student.
- Functions of mathematics are those of the student's notebook, angles in radians. A second set in
  degrees would give `sin` two meanings, and some slips are about just that.
- An earlier question's name stands for what the student answered there, so the chain is read off
  the expression. Only what a function looks at has to be named (`after:`).
- What takes more than one expression is a function in `solutions/<slug>.py` that an answer calls.
  So all slips of a question stand in one place and in one order, the one in which they are marked.
- Readings in series are one block of the head with one range. It reaches as far as the widest of
  them needs.
- One frame a student. It is drawn whole, by the same HMAC, from `exercises/frames.toml`, until it
  can be built; lessons take their numbers from it (`from: frame.…`) and round them in one place, so
  what two lessons share is one number. A student's real frame takes its place. What was handed out
  keeps its numbers. A lesson whose key refuses a frame draws another, whole and for itself alone,
  and says so on the sheet: single questions of another frame would not hang together.
- A frame is what it is: where a slip happens to give the right answer with it, the case stands,
  and marking takes the right answer first. The proof still refuses a slip that does so often.
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
