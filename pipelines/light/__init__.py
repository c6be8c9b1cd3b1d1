"""How much of the light at a reference arrives at the nose: fitted on photos of known plugs."""
