"""What leaves the coach's hands: the score, the run sheet and what else is published. Computes no timing of its own."""
