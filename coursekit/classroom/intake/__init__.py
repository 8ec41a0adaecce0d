"""What comes back from students, and whose it is."""
