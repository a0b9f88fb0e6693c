"""Photos: taken in as they are, checked under limits, never rewritten; thumbnails from them."""

from __future__ import annotations

import warnings
from io import BytesIO
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from witnessmark.ledger.canonical import digest
from witnessmark.workshop import models
from witnessmark.workshop.beside_pictures import is_another_kind_too
from witnessmark.workshop.moved import note_moved
from witnessmark.workshop.starting import here
from witnessmark.workshop.synced import write_synced
from witnessmark.workshop.writing import now, write_transaction

if TYPE_CHECKING:
    from PIL import Image

KINDS = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
"""The kinds of picture that phones take, and what they are called on the network."""

MOST_PIXELS = 50_000_000
"""Width times height at the most, looked at before a picture is unpacked."""

THUMBNAIL = 320
"""The longer side of a small picture. [px]"""

_SAME_KIND = {"MPO": "JPEG"}
"""Some phones put several JPEGs into one file; the first is the photo."""

_ONE_AT_A_TIME = Lock()
"""However many photos come at once, memory is needed for one unpacked picture."""


class PhotoRefusedError(ValueError):
    """Bytes that are no photo we take; the text says why."""


def take_photo(job: str, promised: str, data: bytes) -> bool:
    """Take a photo in for a job; tell whether it was new.

    The file is on the disk before the table names it.

    Raises
    ------
    PhotoRefusedError
        If the bytes are not those of the promised hash, or no picture within the limits.
    """
    if digest(data) != promised:
        raise PhotoRefusedError("the bytes are not those of this hash: send it again")
    kind, width, height = examine(data)
    path = path_of(promised)
    if not path.is_file():
        write_synced(path, data)
    with write_transaction():
        photo, fresh = models.Photo.objects.get_or_create(
            id=promised, defaults={"kind": kind, "width": width, "height": height}
        )
        if photo.withheld is not None:
            path.unlink(missing_ok=True)
            raise PhotoRefusedError("this photo was deleted by a person and stays deleted")
        _, added = models.PhotoOfJob.objects.get_or_create(job_id=job, photo=photo)
        if added:
            note_moved([job])
    return fresh


def examine(data: bytes) -> tuple[str, int, int]:
    """Check that bytes are a whole picture of a kind and size that we take.

    Returns
    -------
    kind, width, height
        The size as stored, in pixels.

    Raises
    ------
    PhotoRefusedError
        If they are not.
    """
    with _ONE_AT_A_TIME, _opened(data) as picture:
        kind = _SAME_KIND.get(picture.format or "", picture.format or "")
        width, height = picture.size
        picture.draft("RGB", (THUMBNAIL, THUMBNAIL))  # of a JPEG all is read, little unpacked
        _loaded(picture)
    if is_another_kind_too(data, kind):
        raise PhotoRefusedError("another kind of file hides in this picture: take a new photo")
    return kind, width, height


def _opened(data: bytes) -> Image.Image:
    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(BytesIO(data), formats=tuple(KINDS))
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
        raise PhotoRefusedError("this is no JPEG, PNG or WebP picture") from None
    except Image.DecompressionBombError:
        raise PhotoRefusedError("the picture is far too large") from None
    width, height = picture.size
    if width * height > MOST_PIXELS:
        raise PhotoRefusedError(f"{width} x {height} pixels: at most {MOST_PIXELS} are taken")
    return picture


def _loaded(picture: Image.Image) -> None:
    try:
        picture.load()
    except (OSError, SyntaxError, ValueError, EOFError, MemoryError):
        raise PhotoRefusedError("the picture is damaged or cut short") from None


def thumbnail(photo: str) -> bytes:
    """Give a small JPEG of a photo, upright, without what the camera wrote beside it."""
    from PIL import Image, ImageOps

    path = here().thumbnails / f"{photo}.jpg"
    if path.is_file():
        return path.read_bytes()
    with _ONE_AT_A_TIME, _opened(path_of(photo).read_bytes()) as picture:
        picture.draft("RGB", (2 * THUMBNAIL, 2 * THUMBNAIL))
        _loaded(picture)
        picture.thumbnail((THUMBNAIL, THUMBNAIL))  # first, as turning needs room for a second
        upright = ImageOps.exif_transpose(picture).convert("RGB")
    bare = Image.frombytes("RGB", upright.size, upright.tobytes())
    out = BytesIO()
    bare.save(out, "JPEG", quality=80)
    write_synced(path, out.getvalue())
    return out.getvalue()


def remove_photo(photo: str) -> bool:
    """Delete a photo's bytes and remember that a person did; tell whether it was here."""
    with write_transaction():
        changed = models.Photo.objects.filter(id=photo, withheld=None).update(withheld=now())
    path_of(photo).unlink(missing_ok=True)
    (here().thumbnails / f"{photo}.jpg").unlink(missing_ok=True)
    return changed == 1


def path_of(photo: str) -> Path:
    """Give where a photo's bytes lie."""
    return here().photos / photo[:2] / photo
