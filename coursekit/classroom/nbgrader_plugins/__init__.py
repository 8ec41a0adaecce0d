"""Plug-ins with which nbgrader's own commands run this kit's marking.

A class folder's `nbgrader_config.py` names them, so that `nbgrader autograde`, `nbgrader
generate_feedback` and formgrader's buttons give the same gradebook, notebooks and pages as
`coursekit mark` and `coursekit feedback`. If that file is lost, plain nbgrader gives no marks by
mistake, because each check cell's source holds a hidden line that fails. Two differences remain.
nbgrader's command passes over a submission folder without any notebook (`mark` gives zeros and a
reason), and it fails on a timestamp file that it cannot read (`mark` says so and takes the work as
on time).
"""
