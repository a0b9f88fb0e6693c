"""The variables by which a server tells its worker what to do."""

from __future__ import annotations

HOSTS = "WITNESSMARK_HOSTS"
"""Names the hosts the server answers to, with commas between."""

PARENT = "WITNESSMARK_PARENT"
"""Names the process whose end is also the worker's."""

NETWORK = "WITNESSMARK_NETWORK"
"""Set where the workshop is on the network and everybody must be paired."""

PASSING = "WITNESSMARK_PASSING"
"""Set where the folder is to go when the server ends."""
