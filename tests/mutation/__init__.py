"""Breaking the formulas of the domain one at a time: what `tests/mutate.py` is made of."""
