"""`python -m branchwright`: the command, whatever lies in the folder it is started from.

Python puts the current folder first on its path for `-m`; a `models.py` there would be taken for
ours. It is dropped unless this very package was found through it.
"""

import sys
from pathlib import Path

_home = Path(__file__).resolve().parent.parent
if sys.path and Path(sys.path[0] or ".").resolve() != _home:
    del sys.path[0]

from branchwright.start import main  # noqa: E402

main()
