"""The class: exercise bank, own numbers, hand-out, running, marking, gradebook, feedback."""
