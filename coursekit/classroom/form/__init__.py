"""The bench form: small pages, served from the instructor's computer, to type readings and answers in."""
