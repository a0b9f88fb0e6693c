"""Which pitch goes with which nominal size in the standard thread series.

Sources: ISO 261 and ISO 262 (metric coarse pitches), ASME B1.1 (UNC, UNF, UNEF and the
number sizes), ISO 228-1 (G pipe threads), BS 84 (Whitworth BSW, BSF). All from memory of
the named standards; the sizes in tests/published/fasteners are checked there. G sizes were
also compared with the open CAD thread library threadlib (ISO 228-1 dimensions).
"""

from __future__ import annotations

from fractions import Fraction

# ISO 261 / ISO 262 coarse pitches, millimetres.
COARSE_PITCH: dict[str, str] = {
    "1": "0.25", "1.1": "0.25", "1.2": "0.25", "1.4": "0.3", "1.6": "0.35", "1.8": "0.35",
    "2": "0.4", "2.2": "0.45", "2.5": "0.45", "3": "0.5", "3.5": "0.6", "4": "0.7",
    "4.5": "0.75", "5": "0.8", "6": "1", "7": "1", "8": "1.25", "9": "1.25", "10": "1.5",
    "11": "1.5", "12": "1.75", "14": "2", "16": "2", "18": "2.5", "20": "2.5", "22": "2.5",
    "24": "3", "27": "3", "30": "3.5", "33": "3.5", "36": "4", "39": "4", "42": "4.5",
    "45": "4.5", "48": "5", "52": "5", "56": "5.5", "60": "5.5", "64": "6", "68": "6",
}  # fmt: skip

# ASME B1.1 threads per inch by printed size: (UNC, UNF, UNEF), None where there is none.
UNIFIED_TPI: dict[str, tuple[str | None, str | None, str | None]] = {
    "#0": (None, "80", None), "#1": ("64", "72", None), "#2": ("56", "64", None),
    "#3": ("48", "56", None), "#4": ("40", "48", None), "#5": ("40", "44", None),
    "#6": ("32", "40", None), "#8": ("32", "36", None), "#10": ("24", "32", None),
    "#12": ("24", "28", "32"), "1/4": ("20", "28", "32"), "5/16": ("18", "24", "32"),
    "3/8": ("16", "24", "32"), "7/16": ("14", "20", "28"), "1/2": ("13", "20", "28"),
    "9/16": ("12", "18", "24"), "5/8": ("11", "18", "24"), "11/16": (None, None, "24"),
    "3/4": ("10", "16", "20"), "13/16": (None, None, "20"), "7/8": ("9", "14", "20"),
    "15/16": (None, None, "20"), "1": ("8", "12", "20"), "1 1/16": (None, None, "18"),
    "1 1/8": ("7", "12", "18"), "1 3/16": (None, None, "18"), "1 1/4": ("7", "12", "18"),
    "1 5/16": (None, None, "18"), "1 3/8": ("6", "12", "18"), "1 7/16": (None, None, "18"),
    "1 1/2": ("6", "12", "18"), "1 9/16": (None, None, "18"), "1 5/8": (None, None, "18"),
    "1 11/16": (None, None, "18"), "1 3/4": ("5", None, None), "2": ("4.5", None, None),
    "2 1/4": ("4.5", None, None), "2 1/2": ("4", None, None), "2 3/4": ("4", None, None),
    "3": ("4", None, None), "3 1/4": ("4", None, None), "3 1/2": ("4", None, None),
    "3 3/4": ("4", None, None), "4": ("4", None, None),
}  # fmt: skip
UNIFIED_SERIES = ("UNC", "UNF", "UNEF")

# ISO 228-1: printed size -> (threads per inch, major diameter in millimetres).
PIPE_THREADS: dict[str, tuple[str, str]] = {
    "1/16": ("28", "7.723"), "1/8": ("28", "9.728"), "1/4": ("19", "13.157"),
    "3/8": ("19", "16.662"), "1/2": ("14", "20.955"), "5/8": ("14", "22.911"),
    "3/4": ("14", "26.441"), "7/8": ("14", "30.201"), "1": ("11", "33.249"),
    "1 1/8": ("11", "37.897"), "1 1/4": ("11", "41.910"), "1 1/2": ("11", "47.803"),
    "1 3/4": ("11", "53.746"), "2": ("11", "59.614"), "2 1/4": ("11", "65.710"),
    "2 1/2": ("11", "75.184"), "2 3/4": ("11", "81.534"), "3": ("11", "87.884"),
    "3 1/2": ("11", "100.330"), "4": ("11", "113.030"), "4 1/2": ("11", "125.730"),
    "5": ("11", "138.430"), "5 1/2": ("11", "151.130"), "6": ("11", "163.830"),
}  # fmt: skip

# BS 84: printed size -> threads per inch.
WHITWORTH_TPI: dict[str, str] = {
    "1/16": "60", "3/32": "48", "1/8": "40", "5/32": "32", "3/16": "24", "7/32": "24",
    "1/4": "20", "5/16": "18", "3/8": "16", "7/16": "14", "1/2": "12", "9/16": "12",
    "5/8": "11", "11/16": "11", "3/4": "10", "7/8": "9", "1": "8", "1 1/8": "7",
    "1 1/4": "7", "1 3/8": "6", "1 1/2": "6", "1 5/8": "5", "1 3/4": "5", "2": "4.5",
    "2 1/4": "4", "2 1/2": "4", "2 3/4": "3.5", "3": "3.5",
}  # fmt: skip
FINE_WHITWORTH_TPI: dict[str, str] = {
    "3/16": "32", "7/32": "28", "1/4": "26", "9/32": "26", "5/16": "22", "3/8": "20",
    "7/16": "18", "1/2": "16", "9/16": "16", "5/8": "14", "11/16": "14", "3/4": "12",
    "7/8": "11", "1": "10", "1 1/8": "9", "1 1/4": "9", "1 3/8": "8", "1 1/2": "8",
    "1 5/8": "8", "1 3/4": "7", "2": "7", "2 1/4": "6", "2 1/2": "6", "2 3/4": "6", "3": "5",
}  # fmt: skip

_INCH = Fraction(254, 10_000)


def pitch_of_threads_per_inch(per_inch: str) -> Fraction:
    """Give the pitch in metres of a thread with so many threads per inch, exactly."""
    return _INCH / Fraction(per_inch)


def unified_series_of(size: str, per_inch: Fraction) -> str:
    """Name the ASME B1.1 series of a size and threads per inch; `UN` when it is none of them."""
    for series, standard in zip(
        UNIFIED_SERIES, UNIFIED_TPI.get(size, (None, None, None)), strict=True
    ):
        if standard is not None and Fraction(standard) == per_inch:
            return series
    return "UN"
