"""The kernel: items into groups on trees or chains from one root, knowing nothing of electricity.

Problems are arrays of whole numbers (`problem.py`). `anneal.py` searches over whole groups,
`pool.py` keeps every good group it meets, `choice.py` selects among them, `bound.py` proves how
much cheaper any plan could be at most, `certificate.py` rechecks that with code of its own,
`proof.py` closes small problems, and `portfolio.py` runs all of it as logical workers that meet
at fixed barriers. Inner loops are compiled by numba, which is imported with the first of these
modules that needs it (0.7 s, and some seconds of compiling on a machine's first run).
"""
