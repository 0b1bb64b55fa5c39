"""The process of `solver.bound.beside`: shop, prices and effort in, the certificate out.

It ends with the one that started it, however that ends: then its standard input is at an end. The
question is read before anything else is looked up, so that nobody waits for that.
"""

import pickle
import sys
from typing import Final

STDIN: Final = 0

question = pickle.load(sys.stdin.buffer)

from solver.second import end_with  # noqa: E402

end_with(STDIN)

from solver.bound.least import least  # noqa: E402
from solver.circuit import Circuits  # noqa: E402
from solver.solve import Control  # noqa: E402

shop, book, effort = pickle.loads(question)
circuits = Circuits.of(shop, book)
pickle.dump(least(circuits, Control(effort)), sys.stdout.buffer)
