"""The commands of `coursekit`, one module a group; each is thin over the package.

In commands nbgrader is put in place without its own `__init__`, which imports Jupyter's server
(`light_start`). A command's module imports nothing heavy before the command runs.
"""
