"""Triangle meshes of firing ends, bench card and workshop parts, in millimetres."""
