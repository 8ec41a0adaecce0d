"""Runs a notebook somewhere safe and brings plain values back.

Decisions:

- One parent, one child for each processor core. `warm_parent` imports the students' libraries
  once, before anything of the class is read, and forks one warm child a core, which builds its
  own cage. The parent runs no student's code.
- Only what notebooks name is imported. What a notebook imports in a hidden way it pays for
  itself, in its own time.
- A value is read just before the cell that carries its marks would run. What a student's code
  does later does not change it.
- Extra files lie beside the run (at most 200, 20 MB, no links). The caged process writes them
  into its scratch folder, never over another file; they are part of the fingerprint.
- Nothing comes back but outputs and plain values, made anew and bounded (`untrusted`).
"""
