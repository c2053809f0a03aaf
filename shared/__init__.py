"""The fish room itself: what happened in it, what stands in it, what is due and why.

Knows no chat and no database, and imports nothing else of ours.
"""
