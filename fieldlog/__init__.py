"""fieldlog: a farrier's spoken field notes, turned offline into reviewed, saved records."""

import os

__version__ = "0.1.0"

# numpy's library reads this when it is loaded. Its threads wait for each other busily: on a laptop
# that is recording at the same time, understanding a note took five times as long with them.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
