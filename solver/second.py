"""A second process that ends with the first, however that ends.

The first holds a pipe open for as long as it lives; the second waits at the other end.
"""

import os
import threading
from typing import Final

GONE: Final = 1


def end_with(pipe: int) -> None:
    """End this process when nobody holds the other end of a pipe any more; nothing is written."""
    threading.Thread(target=_wait, args=(pipe,), daemon=True).start()


def _wait(pipe: int) -> None:
    os.read(pipe, 1)
    os._exit(GONE)
