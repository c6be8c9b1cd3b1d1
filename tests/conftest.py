"""The maintainers' pipelines are not installed; tests of them find them in the checkout.

The checkout goes to the end of the path, so that an installed tipvision is the one under test.
"""

import sys
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parent.parent
sys.path.append(str(CHECKOUT))
