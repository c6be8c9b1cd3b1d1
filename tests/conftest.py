"""The maintainers' pipelines are not installed; tests of them find them in the checkout.

The checkout goes to the end of the path, so that an installed tipvision is the one under test.
No test fails for being slow: drawn examples have no deadline.
"""

import sys
from pathlib import Path

from hypothesis import settings

CHECKOUT = Path(__file__).resolve().parent.parent
sys.path.append(str(CHECKOUT))

settings.register_profile("tipvision", deadline=None)
settings.load_profile("tipvision")
