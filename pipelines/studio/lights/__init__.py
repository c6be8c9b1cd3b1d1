"""Illuminants as spectra and the lamps and windows that carry them."""
