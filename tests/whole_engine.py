"""An engine of which every fact is known, for tests in several folders."""

from tipvision.causes.explanation import Engine

WHOLE_ENGINE = Engine(
    stroke="two",
    fuel="carburettor",
    thread="M14",
    seat="gasket",
    head="aluminium",
    gap_mm=(0.5, 0.6),
    scale="higher_is_colder",
    jetted_at_m=300.0,
    jetted_at_c=15.0,
)
