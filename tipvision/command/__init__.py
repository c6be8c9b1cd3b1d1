"""The command line. Data goes to standard output, everything else to standard error."""

import contextlib
import io
import os
import sys
from collections.abc import Mapping, Sequence

from tipvision.causes.fault import KnowledgeError
from tipvision.command.parser import parser
from tipvision.command.usage import UsageFault
from tipvision.sealed import ModelFault

READ_OK, UNREADABLE, WRONG_USAGE, INTERRUPTED = 0, 1, 2, 130
_FAULTS: Mapping[type[Exception], tuple[str, int]] = {
    UsageFault: ("usage", WRONG_USAGE),
    ModelFault: ("model", UNREADABLE),
    KnowledgeError: ("knowledge", WRONG_USAGE),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit status.

    0 all read or clearly refused, 1 some file could not be used, 2 wrong usage, 130 interrupted.
    """
    _never_fail_to_print()
    # a photo's small sums gain nothing from threads that wait; numpy is not loaded yet
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        options = parser().parse_args(arguments)
        ended: int = options.run(options)
        sys.stdout.flush()
        return ended
    except KeyboardInterrupt:
        say("error[interrupted]: stopped; what was printed so far stands.")
        return INTERRUPTED
    except BrokenPipeError:  # whoever read the output has gone: nothing to tell
        _drop_output()
        return READ_OK
    except (UsageFault, ModelFault, KnowledgeError) as error:
        kind, status = _FAULTS[type(error)]
        say(f"error[{kind}]: {error}")
        return status
    except OSError as error:
        _drop_output()
        say(f"error[cannot_write]: {error.filename or 'output'}: {error.strerror}.")
        return UNREADABLE


def say(line: str) -> None:
    """One line to standard error, whatever the names in it hold."""
    shown = "".join(c if c.isprintable() else "?" for c in line)
    print(shown, file=sys.stderr)


def _never_fail_to_print() -> None:
    """What the terminal's encoding lacks is escaped; a closed stream is silent."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115, PTH123
        elif isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _drop_output() -> None:
    """Nothing more is written at exit to an output that takes nothing."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
