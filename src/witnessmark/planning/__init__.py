"""What comes off, in which order, and the proof."""
