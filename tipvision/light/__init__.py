"""Light: what light a photo was taken under, and how sure that is."""
