"""`tipvision facts`: what can be told of an engine beside the photo."""

import argparse

from tipvision.causes.shop import knowledge
from tipvision.command import READ_OK


def run(_options: argparse.Namespace) -> int:
    """Print each fact with its results, as `--fact` takes them, and what it means."""
    for fact in knowledge().facts.values():
        kind = " ".join(
            filter(None, [fact.kind.stroke and f"{fact.kind.stroke}-stroke", fact.kind.fuel])
        )
        print(f"{fact.id}={'|'.join(fact.usual)}" + (f"   ({kind} only)" if kind else ""))
        print(f"    {fact.text}")
    return READ_OK
