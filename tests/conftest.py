"""One thread for linear algebra, as in the browser: our matrices are so small that threads only wait for one another."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # read when numpy is first imported, after this
