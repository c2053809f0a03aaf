"""A turn of talk: what a message leads to, what is asked back, and how earlier words are mended.

One message is handled by one object, whose class is built up file by file, each knowing only those before it:
`replying` gathers the reply, `taking_down` books events, `mending` takes back and puts right, `putting_eggs` says which
tub eggs went to, `said_before` looks back in the chat, `soon_after` takes numbers and places said right after a note,
`settled` takes the answer to a question, and `conversation` decides which of them a message is for. The other files
are plain functions that they ask.
"""
