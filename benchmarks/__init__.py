"""Public instances and side-by-side timings of the solver steps."""
