"""The process of `solver.bound.beside`: shop, prices and effort in, the certificate out.

It ends with the one that started it, however that ends: then its standard input is at an end. The
question is read before anything else is looked up, so that nobody waits for that.
"""

import os
import pickle
import sys
import threading
from typing import Final

STDIN: Final = 0
GONE: Final = 1

question = pickle.load(sys.stdin.buffer)


def end_with_the_search() -> None:
    """Wait for the end of standard input, at which nothing more is ever written."""
    os.read(STDIN, 1)
    os._exit(GONE)


threading.Thread(target=end_with_the_search, daemon=True).start()

from solver.bound.least import least  # noqa: E402
from solver.catalogue import Catalogue  # noqa: E402
from solver.circuit import Circuits  # noqa: E402
from solver.points import Points  # noqa: E402
from solver.routes import Ways  # noqa: E402
from solver.solve import Control  # noqa: E402

shop, book, effort = pickle.loads(question)
circuits = Circuits(shop, Points(shop), Ways(shop), Catalogue(shop, book))
pickle.dump(least(circuits, Control(effort)), sys.stdout.buffer)
