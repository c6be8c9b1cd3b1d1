"""The photo studio: spark-plug firing ends rendered from physics, labelled to the pixel.

The way through it: `plug` (what lies before the camera, sampled from a seed) → `geometry` (triangle
meshes in millimetres) and `materials` (reflectance spectra and where they lie) → `scene` →
`render` (radiance in narrow bands under an equal-energy light, and the truth) → `camera` (light,
exposure, white balance, tone, noise, JPEG) → `truth` (the manifest). The renderer is needed by
`scene` and `render` alone.
"""
