"""Files that a form brings: in memory, and no more of them than a request may hold."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.core.files.uploadhandler import MemoryFileUploadHandler


class BoundedUploads(MemoryFileUploadHandler):
    """Takes uploads into memory; a request that is longer than any may be is not read at all."""

    def handle_raw_input(
        self,
        input_data: Any,  # noqa: ANN401 - Django's own
        META: Any,  # noqa: ANN401, ARG002
        content_length: int,
        boundary: Any,  # noqa: ANN401, ARG002
        encoding: str | None = None,  # noqa: ARG002
    ) -> None:
        """Look at the length before anything is read."""
        del input_data
        if content_length > settings.DATA_UPLOAD_MAX_MEMORY_SIZE:
            raise RequestDataTooBig("this upload is too long")
        self.activated = True
