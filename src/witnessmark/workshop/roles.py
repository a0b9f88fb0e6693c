"""Roles of a workshop's people, and what each may."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from witnessmark.workshop.models import Member

OWNER, LEAD, TECHNICIAN, APPRENTICE = "owner", "lead", "technician", "apprentice"

ROLES = {
    OWNER: "sees every job; takes people in, gives them phones, lets them go",
    LEAD: "sees every job; gives the second look",
    TECHNICIAN: "works on the jobs they are on",
    APPRENTICE: "does what is on their list; all else is seen by another before it is covered",
}
"""The roles, and what to say of each."""

SEES_EVERY_JOB = frozenset({OWNER, LEAD})


def may_do_of(member: Member) -> list[str] | None:
    """Give what an apprentice may do alone, as actions or kinds; None where all is allowed."""
    return member.may_do.split() if member.role == APPRENTICE else None
