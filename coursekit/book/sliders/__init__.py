"""The slider figures: a module for each lesson, and in it a function for each figure."""
