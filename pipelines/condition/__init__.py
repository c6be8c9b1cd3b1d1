"""The condition model: features of photos with truth, its fit, and what it is worth."""
