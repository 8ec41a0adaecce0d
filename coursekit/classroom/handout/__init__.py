"""What a class is given: the release, each student's zip, worksheets.

Decisions:

- The release is generated in another folder and then copied, because nbgrader empties its release
  folder before it knows whether it will succeed.
- One Python serves all of a student's notebooks. It lies in `~/.coursekit-notebooks`, outside the
  bundle, so that later lessons start offline. Its packages have the versions with which the
  instructor's machine marks.
- One file of the class set holds at most thirty students, because typst keeps some 20 MB for each
  student while it sets one file (300 students in one file took 6.2 GB). A larger class gets
  `class-1.pdf`, `class-2.pdf` and so on.
"""
