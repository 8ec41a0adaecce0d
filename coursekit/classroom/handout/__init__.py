"""What a class is given: the release, each student's zip, worksheets.

Decisions:

- The release is generated beside, then copied, because nbgrader empties its release folder before
  it knows whether it will succeed.
- One Python serves all of a student's notebooks: `~/.coursekit-notebooks`, outside the bundle, so
  that later lessons start offline. Its pins are the versions that the instructor's machine marks
  with.
- A class set holds at most thirty students, because typst keeps some 20 MB a student while it
  sets one file (300 students in one file took 6.2 GB). A larger class gets `class-1.pdf` and on.
"""
