"""The book: practice cards, slider figures and the build."""
