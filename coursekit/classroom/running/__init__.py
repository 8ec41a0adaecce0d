"""Runs a notebook somewhere safe and brings plain values back, or reads them where no code is.

Decisions:

- A notebook is read without a run only if that gives the same in every detail: its answers are
  literals, or code to complete that nobody touched, and the student's own cells hold no code
  (`plain_cells`, `cell_text`). In doubt it is run. So there is one marker for answer pages,
  messages, paper and notebooks, and a class without code needs neither a cage nor any process.
- There is one parent process and one warm child for each processor core. `warm_parent` starts the
  parent, which imports the students' libraries once, before anything of the class is read, and
  forks the children; each child builds its own cage and forks once for each notebook. The parent
  runs no student's code.
- Only the libraries that notebooks name are imported beforehand. If a notebook imports another in a
  hidden way, that takes some of its own time.
- A value is read just before the cell that carries its marks would run, so what a student's code
  does later does not change it.
- Extra files lie beside the run (at most 200, 20 MB, no links). The caged process writes them into
  its scratch folder, never over another file. They are part of the work's fingerprint.
- Nothing comes back but outputs and plain values, rebuilt and limited in size (`untrusted`).
"""
