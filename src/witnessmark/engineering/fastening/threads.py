"""The geometry of ISO metric, unified, BSP and Whitworth threads."""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError
from witnessmark.quantities.thread_series import PIPE_THREADS
from witnessmark.quantities.threads import Thread, read_thread

# ISO 68-1: fundamental triangle height H = (√3/2) P; the truncations follow from H.
_HEIGHT = math.sqrt(3.0) / 2.0
_PITCH_DROP = 0.75 * _HEIGHT  # 0.649519 P
_MINOR_DROP = 1.25 * _HEIGHT  # 1.082532 P
_ROOT_DROP = 17.0 / 12.0 * _HEIGHT  # 1.226869 P
_SHARP_ROOT_DROP = 1.5 * _HEIGHT  # 1.299038 P
# BS 84: depth of the 55° Whitworth form.
_WHITWORTH_DEPTH = 0.640327

_SIXTY = "ISO 68-1 profile"
SOURCES: dict[str, str] = {
    "metric": f"{_SIXTY}, ISO 724 basic dimensions, ISO 898-1 stress area",
    "unified": f"{_SIXTY}, ASME B1.1 stress area",
    "bsp": "ISO 228-1 (depth of thread rounded to 0.001 mm as there)",
    "bsw": "BS 84 Whitworth form",
    "bsf": "BS 84 Whitworth form",
}


@dataclass(frozen=True, slots=True)
class ThreadGeometry:
    """The basic sizes of a thread [m, m²].

    `minor_diameter` is D1, of the nut or tapped hole; `root_diameter` is d3, of the bolt.
    `stress_area` is what tensile loads are reckoned with, `root_area` the area at the root.
    `half_angle` is the flank angle in degrees: 30 for ISO and unified, 27.5 for Whitworth.
    """

    thread: Thread
    diameter: float
    pitch: float
    pitch_diameter: float
    minor_diameter: float
    root_diameter: float
    stress_area: float
    root_area: float
    half_angle: float

    @property
    def stress_diameter(self) -> float:
        """Diameter of a circle with the stress area [m]."""
        return math.sqrt(4.0 * self.stress_area / math.pi)

    @property
    def source(self) -> str:
        """The standards the sizes follow."""
        return SOURCES[self.thread.family]


def thread_geometry(thread: Thread | str) -> ThreadGeometry:
    """Give the geometry of a thread.

    Parameters
    ----------
    thread : Thread or str
        The thread, or its designation as written on a drawing.

    Returns
    -------
    ThreadGeometry
        Basic sizes. [m, m²]

    Raises
    ------
    QuantityError
        If a text is not a thread.
    RefusalError
        If the thread has no pitch.

    Notes
    -----
    Metric (ISO 724): d2 = d - 0.649519 P, D1 = d - 1.082532 P, d3 = d - 1.226869 P,
    As = π/4 ((d2 + d3)/2)². Unified (ASME B1.1, as compiled in [1]_): the same d2 and D1,
    root d - 1.299038 P, At = π/4 ((d2 + root)/2)². Whitworth (BS 84): depth 0.640327 P,
    effective = d - depth, core = d - 2 depth, area from the mean of the two.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       Table 8-2.
    """
    given = read_thread(thread) if isinstance(thread, str) else thread
    if given.pitch is None:
        raise RefusalError(f"{given} has no pitch", "write the pitch or threads per inch")
    diameter, pitch = float(given.nominal), float(given.pitch)
    if given.family == "metric":
        return _sixty_degrees(given, diameter, pitch, _ROOT_DROP)
    if given.family == "unified":
        return _sixty_degrees(given, diameter, pitch, _SHARP_ROOT_DROP)
    return _whitworth(given, diameter, pitch)


def _sixty_degrees(
    thread: Thread, diameter: float, pitch: float, root_drop: float
) -> ThreadGeometry:
    pitch_diameter = diameter - _PITCH_DROP * pitch
    root = diameter - root_drop * pitch
    return ThreadGeometry(
        thread=thread,
        diameter=diameter,
        pitch=pitch,
        pitch_diameter=pitch_diameter,
        minor_diameter=diameter - _MINOR_DROP * pitch,
        root_diameter=root,
        stress_area=circle_area((pitch_diameter + root) / 2.0),
        root_area=circle_area(root),
        half_angle=30.0,
    )


def _whitworth(thread: Thread, nominal: float, pitch: float) -> ThreadGeometry:
    diameter, depth = nominal, _WHITWORTH_DEPTH * pitch
    if thread.family == "bsp":
        size = thread.designation.removeprefix("G ")
        diameter = float(PIPE_THREADS[size][1]) / 1000.0
        depth = round(depth, 6)  # ISO 228-1 builds its diameters on the rounded depth
    pitch_diameter = diameter - depth
    minor = diameter - 2.0 * depth
    return ThreadGeometry(
        thread=thread,
        diameter=diameter,
        pitch=pitch,
        pitch_diameter=pitch_diameter,
        minor_diameter=minor,
        root_diameter=minor,
        stress_area=circle_area((pitch_diameter + minor) / 2.0),
        root_area=circle_area(minor),
        half_angle=27.5,
    )


def circle_area(diameter: float) -> float:
    """Area of a circle: π d²/4 [m² from m]."""
    return math.pi / 4.0 * diameter**2
