"""What is done to a single student: renaming, giving other numbers, exporting, erasing.

Erasing removes the student's rows from the gradebook and from every backup, and `VACUUM` then
rewrites these files, so that nothing stays behind in them. What was made of the whole class is
deleted too, because it names everybody.
"""
