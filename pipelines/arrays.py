"""Arrays by name as a run leaves them in an .npz, for the next run."""

from pathlib import Path
from typing import Any
from zipfile import BadZipFile

import numpy as np
from numpy.typing import NDArray


def read_arrays(path: Path, *names: str) -> dict[str, NDArray[Any]]:
    """The arrays of these names. Plain arrays alone are read, nothing that runs code.

    Raises ValueError where the file is missing, damaged, or holds something else.
    """
    try:
        with np.load(path, allow_pickle=False) as held:
            return {name: held[name] for name in names}
    except FileNotFoundError as error:
        raise ValueError(f"{path} is not there. Check the name, or make it first.") from error
    except KeyError as error:
        raise ValueError(f"{path} lacks {error.args[0].split()[0]}: it is another file.") from error
    except (OSError, EOFError, ValueError, BadZipFile, AttributeError, TypeError) as error:
        raise ValueError(f"{path} is no whole .npz file. Make it again.") from error
