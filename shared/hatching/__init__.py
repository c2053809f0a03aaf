"""When eggs will hatch: published pace, temperature over time, and the room's own earlier batches."""
