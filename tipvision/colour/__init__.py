"""Colour science: sRGB, CIE XYZ, CIELAB, CIEDE2000, adaptation and the whites of known lamps."""
