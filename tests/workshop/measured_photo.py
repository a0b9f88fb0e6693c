"""A process of its own that examines one picture and says what came of it and at what cost."""

from __future__ import annotations

import json
import resource
import sys
import tempfile
from pathlib import Path

from witnessmark.workshop.places import Place
from witnessmark.workshop.starting import start


def peak() -> int:
    """The most memory this process ever had resident, in bytes (getrusage(2): Linux counts kB)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def main() -> None:
    start(Place(Path(tempfile.mkdtemp())), tables_are_ready=True)
    from PIL import Image

    from witnessmark.workshop.photos import PhotoRefusedError, examine

    Image.init()
    results = []
    for name in sys.argv[1:]:
        data = Path(name).read_bytes()
        before = peak()
        try:
            said = examine(data)[0]
        except PhotoRefusedError as error:
            said = str(error)
        results.append({"said": said, "grew": peak() - before - len(data)})
    sys.stdout.write(json.dumps(results))


main()
