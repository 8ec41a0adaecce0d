"""The cage that a student's notebook runs in, and what of it this machine can offer."""
