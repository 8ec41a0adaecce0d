"""One student: renamed, given other numbers, exported, erased.

Erasing rewrites: rows go from the gradebook and from every backup, then `VACUUM`. What was made
of the whole class goes too, because it names everybody.
"""
