"""The bench form: small pages, served from the instructor's computer, to type in readings.

Answers from paper are typed into it too.

It stands on tornado, which Jupyter brings along, and has no scripts. It listens on this computer
alone unless phones are let in. It speaks plain HTTP: whoever is in the same Wi-Fi can read along,
and the command says so.

It holds so many connections of one address and so many in all (`doorstep`), below what the system
lets a program open. It lets go of whoever sends nothing, and says a failure that repeats once a
minute (`quiet`).
"""
