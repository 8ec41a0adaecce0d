"""The commands of `coursekit`, a module for each group; each command is a thin layer over the kit.

The commands load nbgrader without running its own `__init__`, which would import Jupyter's server
(`light_start`). A command's module imports nothing heavy before the command runs. The docstring of
a command is its help text, which tests compare word for word.
"""
