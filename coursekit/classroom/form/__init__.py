"""The bench form: small pages on the instructor's computer, to type readings and answers in."""
