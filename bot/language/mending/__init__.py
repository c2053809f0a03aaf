"""Notes that take back, put right or complete what was said before."""
