"""What past days add up to."""
