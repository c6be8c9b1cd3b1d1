"""The peer that the tip net is held against: a finder by classical means, without training."""
