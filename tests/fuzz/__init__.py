"""Fuzzing of the readers: what must hold of any input, a search for one that breaks it, and its finds."""
