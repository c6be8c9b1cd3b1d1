"""Readings held against each other: the plugs of one engine, and one plug over time."""
