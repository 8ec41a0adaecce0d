"""The bench form: small pages, served from the instructor's computer, to type in readings.

Answers from paper are typed into it too.

It is built on tornado, which comes with Jupyter, and its pages have no scripts. It listens on this
computer alone unless phones are let in. It speaks plain HTTP, so whoever is in the same Wi-Fi can
read along, and the command says so. There is one way in for phones, each student's own code: a code
on the screen besides would let whoever is in the room see everybody's sheets.

It limits the open connections from one address and in all (`doorstep`), to fewer than the system
lets a program open. It closes connections that send nothing, and reports a failure that repeats
only once a minute (`quiet`).
"""
