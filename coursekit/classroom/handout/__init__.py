"""What a class is given: the release, each student's zip, worksheets.

Decisions:

- The release is generated in another folder and then copied, because nbgrader empties its release
  folder before it knows whether it will succeed.
- One Python serves all of a student's notebooks. It lies in `~/.coursekit-notebooks`, outside the
  bundle, so that later lessons start offline. Its packages have the versions with which the
  instructor's machine marks.
- Everything printed goes through `printing`: planned and counted in memory, then written. Each
  student's sheet is set once, and the class set is put together from these files, because typst
  keeps some 20 MB for each student while it sets one file (300 students took 6.2 GB).
"""
