"""What a class is given: the release, each student's zip, worksheets."""
