"""`tipvision shop`: whose name and logo stand on the reports."""

import argparse
from pathlib import Path

from tipvision.command import READ_OK, WRONG_USAGE, say
from tipvision.report.shop import ShopError, keep_shop, load_shop


def run(options: argparse.Namespace) -> int:
    """Keep a name or a logo, then say what stands and where each was set."""
    try:
        if options.name is not None or options.logo is not None:
            logo = None if options.logo is None else Path(options.logo)
            say(f"written: {keep_shop(options.name, logo)}")
        shop = load_shop()
    except ShopError as error:
        say(f"error[usage]: {error}")
        return WRONG_USAGE
    print(f"name: {shop.name} (from {shop.name_from})")
    print(f"logo: {'our own mark' if shop.logo is None else 'a picture'} (from {shop.logo_from})")
    return READ_OK
