"""Measurement: what colour and surface the nose has. Pure functions of arrays."""
