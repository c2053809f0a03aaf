"""The fish ledger: what an event books, and what all entries add up to."""
