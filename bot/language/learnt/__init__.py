"""The learnt reader: what each stretch of a note is said of, by a small net learnt from labelled notes."""
