"""Makes tipvision/measure/bands.toml from Munsell chips: `python -m pipelines.bands`."""
