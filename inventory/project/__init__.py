"""Settings, addresses and the door for servers: the one room that names both packages."""

from __future__ import annotations

import os

# Read once, when numpy is first imported. The matrices here are small: several threads on one gain nothing alone, and
# two processes that use them side by side take twice as long.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
