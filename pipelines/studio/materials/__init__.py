"""Reflectance spectra, solid noise, and the cover of deposits on each part."""
