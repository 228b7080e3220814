"""What Gatepost knows how to work out: pure functions of their arguments.

No clock, no await, no file, no SQL, no chat and no text for people lives here. The moment and the
language are parameters; reasons are values that the floor of chat puts into words.
"""
