"""The kernel: items into groups on trees or chains from one root, knowing nothing of electricity.

One search for groups that are asked for (`asked.py`) finds the circuits of shops and the trees of
public instances alike: `search.py` anneals over whole groups, `shortlist.py` says what items are
worth (GLOP) and `growth.py` which groups that would like, `recombine.py` chooses among all that was
met (CP-SAT). It takes no more than answers to: what does this group cost, and what does it take?

Where all of a problem is arrays of whole numbers (`problem.py`: one kind of edges, weights that add
up), more can be done, and is, in compiled loops. `anneal.py` searches over whole groups,
`pool.py` keeps every good group it meets, `relax.py` says what items are worth and `grow.py` what
groups that would like, `dive.py` fixes groups one after another as the relaxation takes them,
`parts.py` betters a few groups at a time, `choice.py` selects among all, `orders.py` orders short
chains. `bound.py` proves how much cheaper any plan could be at most, by the prices of a
`certificate.py`, from trees (`arbs.py`) or chains (`walks.py`) that `pricing.py` finds;
`listing.py` and `proof.py` close what is left between the two; `linear.py` solves their linear
programs. `portfolio.py` runs all of it as logical workers that meet at fixed barriers. Inner loops
are compiled by numba (`compiled.py`), which is imported with the first of these modules that needs
it (0.7 s, and some seconds of compiling on a machine's first run).

`cutting.py` knows nothing of groups: it cuts pieces from rolls and sticks, with a bound.
"""
