"""Reproducible runs of the maintainers: what ships is made here, each run one command."""
