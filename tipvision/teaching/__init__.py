"""A shop teaches the tool on its own labelled photos: checks, fit, proof, card, and models kept."""
