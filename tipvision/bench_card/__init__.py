"""The bench card: its layout, and how it is drawn. It gives a photo light, scale and place."""
