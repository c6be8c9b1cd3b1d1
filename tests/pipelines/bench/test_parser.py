"""The help of a bench says all that its module says, under the name that it is called by."""

from pipelines.bench import batch_kills
from pipelines.bench.parser import parser_of


def test_the_help_is_the_docstring_as_it_stands():
    told = parser_of("batch_kills", batch_kills.__doc__).format_help()
    assert told.startswith("usage: python -m pipelines.bench.batch_kills ")
    assert batch_kills.__doc__ in told
