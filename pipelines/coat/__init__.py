"""Makes the coat net: what lies on a nose, from its pixels."""
