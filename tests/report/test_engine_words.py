from tipvision.causes.explanation import Engine
from tipvision.report.engine_words import NOTHING_TOLD, engine_words


def test_the_engine_and_what_was_found_of_it() -> None:
    engine = Engine(name="TB-07", stroke="two", fuel="carburettor", cooling="air")
    words = engine_words(engine, {"spark_test": "weak", "choke": "stuck"})
    assert words.line == "Engine: TB-07, two-stroke, carburettor, air-cooled"
    assert words.facts == "Told by mouth or found by checks: spark test weak and choke stuck."


def test_what_is_not_known_is_not_said() -> None:
    assert engine_words(Engine(), {}) == NOTHING_TOLD
    assert engine_words(Engine(stroke="four"), {}).line == "Engine: four-stroke"
