"""What the papers of a job are called, and which of them name the customer."""

from __future__ import annotations

HANDOVER, STATE_CARD, RECORD, JOB_CARD = "handover", "state-card", "record", "job-card"
BOTH = "handover-with-card"
"""What is wanted when a job is left: the card for the wheel and the sheet, in one print."""

NAMED_AS_USUAL = {HANDOVER: False, STATE_CARD: False, BOTH: False, RECORD: True}
"""Whether a paper names the customer when nobody says: sheets that lie about do not."""
