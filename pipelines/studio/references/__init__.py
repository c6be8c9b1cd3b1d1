"""Reference objects for colour, and things that only look like one."""
