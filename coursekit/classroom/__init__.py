"""The class, in rooms by the way an answer travels.

From the ground up: `bank` (an exercise and own numbers), `register` (the class folder), `running`
(notebooks run in a cage), `gradebook`, `bench` (readings), `handout`, `intake`, `marking`,
`paper`, `report`, `form`, `nbgrader_plugins`, `students`, `demo`. A room imports only rooms that
stand before it in this list; the import contract in `pyproject.toml` holds that.
"""
