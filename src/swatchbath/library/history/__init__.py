"""What was there before: changes, corrections, the bin."""
