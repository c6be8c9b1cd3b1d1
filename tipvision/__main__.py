"""`python -m tipvision` is the same as `tipvision`."""

import sys

from tipvision.command import main

sys.exit(main())
