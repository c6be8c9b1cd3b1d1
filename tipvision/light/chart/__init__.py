"""The 24-patch chart: its printed colours, where it lies in a photo, what light it tells."""
