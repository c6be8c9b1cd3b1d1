"""Condition: probabilities, the answers that the photo allows, or a refusal with its reason."""
