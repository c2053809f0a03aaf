"""The read-back: what was taken down, in few words: place, fact, what is left, next thing."""
