"""A tightened joint under load: share of the bolt, proof and separation factors."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.engineering.refusal import require_above_zero


def bolt_share(bolt_stiffness: float, joint_stiffness: float) -> float:
    """Share of an outside load that the bolt feels: C = k_b/(k_b + k_m) [-].

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       section 8-7.
    """
    require_above_zero(bolt_stiffness, "the bolt stiffness")
    require_above_zero(joint_stiffness, "the joint stiffness")
    return bolt_stiffness / (bolt_stiffness + joint_stiffness)


@dataclass(frozen=True, slots=True)
class LoadedJoint:
    """One bolt of a joint with an outside pull on it [N, Pa, m²].

    Parameters
    ----------
    preload : float
        Clamp force before the load, F_i.
    load : float
        Outside load on this bolt, P.
    share : float
        Share the bolt feels, C.
    stress_area : float
        A_t.
    proof : float
        Proof stress S_p.

    References
    ----------
    .. [1] Budynas and Nisbett, "Shigley's Mechanical Engineering Design", 9th ed., 2011,
       eqs 8-24 to 8-30 and example 8-3.
    """

    preload: float
    load: float
    share: float
    stress_area: float
    proof: float

    def __post_init__(self) -> None:
        """Refuse figures that cannot be."""
        for value, name in (
            (self.preload, "the preload"),
            (self.load, "the load"),
            (self.share, "the share"),
            (1.0 - self.share, "one less the share"),
            (self.stress_area, "the stress area"),
            (self.proof, "the proof stress"),
        ):
            require_above_zero(value, name)

    @property
    def preload_stress(self) -> float:
        """Stress before the load: F_i/A_t [Pa]."""
        return self.preload / self.stress_area

    @property
    def service_stress(self) -> float:
        """Stress with the load: (C P + F_i)/A_t [Pa]."""
        return (self.share * self.load + self.preload) / self.stress_area

    @property
    def remaining_clamp(self) -> float:
        """Clamp force left on the parts: F_i - (1 - C) P, none once they part [N]."""
        return max(0.0, self.preload - (1.0 - self.share) * self.load)

    @property
    def proof_factor(self) -> float:
        """Proof stress over service stress, n_p [-]."""
        return self.proof / self.service_stress

    @property
    def load_factor(self) -> float:
        """How many times the load until proof: (S_p A_t - F_i)/(C P) [-]."""
        return (self.proof * self.stress_area - self.preload) / (self.share * self.load)

    @property
    def separation_factor(self) -> float:
        """How many times the load until the parts part: F_i/((1 - C) P) [-]."""
        return self.preload / ((1.0 - self.share) * self.load)
