"""The sums of the bench: gap, heat range, tip temperature, mixture and tightening."""
