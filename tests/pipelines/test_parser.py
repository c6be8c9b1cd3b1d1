"""The help of a run says all that its module says, under the name that it is called by."""

import pytest

from pipelines.condition import __main__ as condition
from pipelines.parser import parser_of


def test_the_help_is_the_docstring_as_it_stands(capsys):
    told = parser_of("condition", condition.__doc__).format_help()
    assert told.startswith("usage: python -m pipelines.condition ")
    assert condition.__doc__ in told
    with pytest.raises(SystemExit, match="0"):
        condition.main(["--help"])
    assert condition.__doc__ in capsys.readouterr().out
