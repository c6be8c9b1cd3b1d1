"""Benchmarks: each prints what it measured beside a peer or a limit, in one run."""
