"""The slider-crank: where the piston is, how fast it moves, what its pin carries.

The cylinder's axis passes through the crank's; an offset gudgeon pin or cylinder is not
reckoned. Angles are crank degrees after top dead centre.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from witnessmark.engineering.refusal import RefusalError, require_above_zero


@dataclass(frozen=True, slots=True)
class SliderCrank:
    """Crank and connecting rod.

    Attributes
    ----------
    crank_radius : float
        Half the stroke. [m]
    rod_length : float
        Between the centres of big end and gudgeon pin. [m]

    Raises
    ------
    RefusalError
        If a length is not above zero or the rod is not longer than the crank radius.
    """

    crank_radius: float
    rod_length: float

    def __post_init__(self) -> None:
        require_above_zero(self.crank_radius, "the crank radius")
        require_above_zero(self.rod_length, "the rod length")
        if self.rod_length <= self.crank_radius:
            raise RefusalError(
                "the connecting rod is not longer than the crank radius",
                "give centre to centre, and half the stroke for the radius",
            )

    @property
    def rod_ratio(self) -> float:
        """Rod length over crank radius, n."""
        return self.rod_length / self.crank_radius

    def drop(self, angle: float) -> float:
        """Piston below top dead centre: x = r(1 − cos a) + l − √(l² − r² sin² a). [m].

        Written so that nothing cancels near top dead centre.
        """
        a = math.radians(angle)
        across = self.crank_radius * math.sin(a)
        upright = math.sqrt(self.rod_length**2 - across**2)
        return 2 * self.crank_radius * math.sin(a / 2) ** 2 + across**2 / (
            self.rod_length + upright
        )

    def speed(self, angle: float, rpm: float) -> float:
        """Piston speed away from the head, exact: dx/dt. [m/s]."""
        a = math.radians(angle)
        omega = math.tau * rpm / 60
        upright = math.sqrt(self.rod_ratio**2 - math.sin(a) ** 2)
        return omega * self.crank_radius * math.sin(a) * (1 + math.cos(a) / upright)

    def acceleration(self, angle: float, rpm: float) -> float:
        """Piston acceleration away from the head, exact: d²x/dt². [m/s²]."""
        a = math.radians(angle)
        omega = math.tau * rpm / 60
        square = self.rod_ratio**2 - math.sin(a) ** 2
        upright = math.sqrt(square)
        bend = math.cos(2 * a) / upright + (math.sin(2 * a) / 2) ** 2 / (upright * square)
        return omega**2 * self.crank_radius * (math.cos(a) + bend)

    def speed_two_term(self, angle: float, rpm: float) -> float:
        """Piston speed by the textbook's two terms: v = ω r (sin a + sin 2a / 2n). [m/s].

        About 0.1 % from the exact speed at n = 5.

        References
        ----------
        Khurmi & Gupta, Theory of Machines, Examples 15.4 and 15.5.
        """
        a = math.radians(angle)
        omega = math.tau * rpm / 60
        return omega * self.crank_radius * (math.sin(a) + math.sin(2 * a) / (2 * self.rod_ratio))

    def acceleration_two_term(self, angle: float, rpm: float) -> float:
        """Piston acceleration by the textbook's two terms: ω² r (cos a + cos 2a / n). [m/s²].

        References
        ----------
        Khurmi & Gupta, Theory of Machines, Example 15.4.
        """
        a = math.radians(angle)
        omega = math.tau * rpm / 60
        return omega**2 * self.crank_radius * (math.cos(a) + math.cos(2 * a) / self.rod_ratio)

    def rod_speed(self, angle: float, rpm: float) -> float:
        """Angular speed of the rod, exact: ω cos a / √(n² − sin² a). [rad/s]."""
        a = math.radians(angle)
        return math.tau * rpm / 60 * math.cos(a) / math.sqrt(self.rod_ratio**2 - math.sin(a) ** 2)

    def rod_acceleration(self, angle: float, rpm: float) -> float:
        """Angular acceleration of the rod, exact: −ω² sin a (n² − 1) / (n² − sin² a)^1.5.

        In rad/s².
        """
        a = math.radians(angle)
        omega = math.tau * rpm / 60
        square = self.rod_ratio**2 - math.sin(a) ** 2
        upright = math.sqrt(square)
        return -omega * omega * math.sin(a) * (self.rod_ratio**2 - 1) / (square * upright)

    def angle_of_greatest_speed_two_term(self) -> float:
        """Crank angle of greatest piston speed by the two terms: 2c² + n c − 1 = 0. [degrees].

        References
        ----------
        Khurmi & Gupta, Theory of Machines, Example 15.3.
        """
        n = self.rod_ratio
        return math.degrees(math.acos((math.sqrt(n**2 + 8) - n) / 4))

    def angle_of_greatest_speed(self) -> float:
        """Crank angle of greatest piston speed, exact, where the acceleration is zero.

        In crank degrees.
        """
        low, high = 0.0, 90.0
        for _ in range(60):
            middle = (low + high) / 2
            if self.acceleration(middle, 1.0) > 0:
                low = middle
            else:
                high = middle
        return (low + high) / 2

    def angle_at_drop(self, drop: float) -> float:
        """Crank angle after top dead centre at which the piston is so far down. [degrees].

        From the cosine rule in the triangle of crank, rod and cylinder axis.

        Raises
        ------
        RefusalError
            If the drop is beyond the stroke.
        """
        if not 0.0 <= drop <= 2 * self.crank_radius:
            raise RefusalError(
                f"{drop * 1000:g} mm is not within the stroke of {self.crank_radius * 2000:g} mm",
                "measure from top dead centre",
            )
        height = self.crank_radius + self.rod_length - drop
        cosine = (height**2 + self.crank_radius**2 - self.rod_length**2) / (
            2 * height * self.crank_radius
        )
        return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))

    def gudgeon_pin_load(
        self, angle: float, rpm: float, *, bore: float, pressure: float, mass: float
    ) -> float:
        """Net load on the gudgeon pin: gas pressure less inertia, F = p A − m a. [N].

        Parameters
        ----------
        angle : float
            Crank angle after top dead centre. [degrees]
        rpm : float
            Crank speed. [rpm]
        bore : float
            Cylinder bore. [m]
        pressure : float
            Gas pressure on the piston. [Pa]
        mass : float
            Reciprocating mass. [kg]

        Returns
        -------
        float
            Load down the cylinder. [N]

        References
        ----------
        Khurmi & Gupta, Theory of Machines, Example 15.9, with its two-term acceleration.
        """
        require_above_zero(bore, "the bore")
        area = math.pi * bore**2 / 4
        return pressure * area - mass * self.acceleration_two_term(angle, rpm)
