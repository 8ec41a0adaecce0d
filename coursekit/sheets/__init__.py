"""Printed things at scale 1:1: worksheets and wrap templates."""
