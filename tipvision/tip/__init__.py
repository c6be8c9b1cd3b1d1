"""The tip: where firing ends are, which pixels are nose, whether they can be read."""
