"""An exercise, its key, a student's own numbers, and the notebook made from them."""
