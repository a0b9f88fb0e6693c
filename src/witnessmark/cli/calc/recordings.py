"""Read a recording from a file: WAV, FLAC or OGG, one channel, or say why not."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.engineering.refusal import RefusalError
from witnessmark.engineering.span_note_sound import LONGEST

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_BYTES = 200_000_000
_MOST_CHANNELS = 16
_FASTEST = 768_000
_KINDS = ("WAV", "WAVEX", "RF64", "FLAC", "OGG")


@dataclass(frozen=True, slots=True)
class Recording:
    """One channel of a recording: samples between −1 and 1 at `rate` [Hz].

    `clipped` is the share of samples at the recorder's limit.
    """

    samples: NDArray[np.float64]
    rate: int
    clipped: float


def read_recording(path: str) -> Recording:
    """Read the loudest channel of a recording.

    Raises
    ------
    RefusalError
        If it is missing, not a plain file, not a recording of a kind that is read, damaged,
        or too long.
    """
    _require_plain_file(Path(path), path)
    import numpy as np
    import soundfile

    try:
        with soundfile.SoundFile(path) as file:
            _require_sensible(file.format, file.channels, file.samplerate, path)
            most = int(LONGEST * file.samplerate)
            if file.frames > most:
                raise RefusalError(
                    f"'{path}' is {file.frames / file.samplerate:.0f} s long",
                    f"cut it to the pluck, at most {LONGEST:.0f} s",
                )
            rate = int(file.samplerate)
            channels = file.read(frames=most, dtype="float64", always_2d=True)
    except (soundfile.SoundFileError, OSError, RuntimeError, ValueError, MemoryError) as error:
        if isinstance(error, RefusalError):
            raise
        raise _unreadable(path) from None
    if len(channels) == 0:
        raise RefusalError(f"'{path}' holds no sound", "record again")
    loudest = int(np.argmax(np.sum(np.nan_to_num(channels) ** 2, axis=0)))
    samples = np.ascontiguousarray(channels[:, loudest])
    return Recording(samples, rate, float(np.mean(np.abs(samples) >= 0.999)))


def _require_plain_file(file: Path, path: str) -> None:
    try:
        exists, plain = file.exists(), file.is_file()
        size = file.stat().st_size if plain else 0
    except (OSError, ValueError) as error:
        raise RefusalError(f"'{path}' cannot be opened ({error})", "check the name") from None
    if not exists:
        raise RefusalError(f"there is no file '{path}'", "check the name and the folder")
    if not plain:
        raise RefusalError(f"'{path}' is not a plain file", "name a WAV, FLAC or OGG recording")
    if size > MOST_BYTES:
        raise RefusalError(
            f"'{path}' is {size / 1e6:.0f} MB, more than {MOST_BYTES / 1e6:.0f} MB",
            "cut it to the pluck",
        )


def _require_sensible(kind: str, channels: int, rate: int, path: str) -> None:
    if kind not in _KINDS:
        raise _unreadable(path)
    if not 0 < channels <= _MOST_CHANNELS or not 0 < rate <= _FASTEST:
        raise RefusalError(
            f"'{path}' says it has {channels} channels at {rate} samples a second",
            "it is damaged or not from a recorder: record again as plain WAV",
        )


def _unreadable(path: str) -> RefusalError:
    return RefusalError(
        f"'{path}' is not a recording that can be read, or it is damaged",
        "record as WAV, FLAC or OGG; plain 16-bit WAV is best",
    )
