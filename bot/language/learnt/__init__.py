"""The learnt reader: what each stretch of a note is said of, by a small net learnt from labelled notes."""

import os

# The sums are small: more than one thread would spend its time on waiting. Read once, when numpy is first loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
