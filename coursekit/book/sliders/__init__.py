"""The slider figures, one module a lesson, one function a figure."""
