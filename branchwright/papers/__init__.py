"""Papers as data: one kind of paper per file, and the two forms they are written in."""
