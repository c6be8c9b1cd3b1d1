"""A shop's own file replaces and adds, and can make the tool no bolder."""

import os
import re
from pathlib import Path

import pytest

from tipvision.causes.explain import explain
from tipvision.causes.explanation import Engine
from tipvision.causes.fault import KnowledgeError
from tipvision.causes.knowledge import shipped_knowledge
from tipvision.causes.shop import FILE, knowledge
from tipvision.home import VARIABLE

SOURCE = 'source = "our estimate"\n'
OWN = f"""\
source_of_numbers = "our estimate"

[[fact]]
id = "swamp"
text = "Whether the trail through the swamp was ridden."
usual = {{ yes = 0.1, no = 0.9 }}
{SOURCE}
[[cause]]
id = "swamp_water"
text = "Swamp water has reached the cylinder."
share = {{ wet_black = 0.05 }}
{SOURCE}
[cause.facts]
swamp = {{ yes = 1.0 }}

[[cause]]
id = "tipped_over"
text = "The hire quad was laid on its side."
stroke = "four"
share = {{ wet_black = 0.9 }}
{SOURCE}"""


@pytest.fixture
def lay(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    def write(text: str) -> Path:
        monkeypatch.setenv(VARIABLE, str(tmp_path))
        (tmp_path / FILE).write_text(text, "utf-8")
        return tmp_path / FILE

    return write


def test_without_a_file_what_ships_stands(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv(VARIABLE, str(tmp_path))
    assert knowledge() is shipped_knowledge()


def test_entries_are_replaced_in_their_place_and_new_ones_come_after(lay) -> None:
    lay(OWN)
    mine, shipped = knowledge(), shipped_knowledge()
    assert list(mine.causes) == [*shipped.causes, "swamp_water"]
    assert mine.causes["tipped_over"].text == "The hire quad was laid on its side."
    assert mine.verdicts == shipped.verdicts
    assert knowledge() is mine


def test_the_explanation_follows_the_shop(lay, make_condition) -> None:
    lay(OWN)
    wet = make_condition("wet_black")
    assert explain(wet, Engine("four")).causes[0].id == "tipped_over"
    assert explain(wet, Engine("two"), {"swamp": "yes"}).causes[0].id == "swamp_water"


def test_a_file_that_was_changed_is_read_again(lay) -> None:
    lay(OWN)
    first = knowledge()
    path = lay(OWN.replace("laid on its side", "left in a ditch"))
    os.utime(path, ns=(1, 1))
    assert knowledge() != first


def test_the_example_in_the_readme_is_one_that_works(lay, make_condition) -> None:
    readme = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    (example,) = (
        block
        for block in re.findall(r"```toml\n(.*?)```", readme, re.DOTALL)
        if block.startswith("source_of_numbers")
    )
    lay(example)
    wet = make_condition("none", fuel_wet=0.9)
    told = explain(wet, Engine("two", "carburettor"), {"ford": "yes"})
    assert "ford_water" in [cause.id for cause in told.causes]
    assert "ford_water" not in [cause.id for cause in explain(wet, Engine(fuel="injection")).causes]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[[cause]\n", ["TOML"]),
        ("[[verdict]]\nid = 'dust'\n", ["nothing else"]),
        (OWN.replace('source_of_numbers = "our estimate"\n', ""), ["source_of_numbers"]),
        (OWN.replace("wet_black = 0.05", "wet_blue = 0.05"), ["swamp_water", "wet_blue"]),
        (OWN.replace("yes = 1.0", "often = 1.0"), ["swamp_water", "often"]),
        (OWN.replace(SOURCE, "", 1), ["swamp", "source"]),
        (
            f'[[caution]]\nid = "engine_cold"\ntext = "Be quick."\n{SOURCE}',
            ["engine_cold", "stays"],
        ),
        (
            'source_of_numbers = "our estimate"\n[[check]]\nid = "spark_test"\ntext = "Spark."\n'
            f'minutes = 1\nneeds = "cranking"\ntells = ["spark_test"]\n{SOURCE}',
            ["spark_test", "leaves out"],
        ),
        (
            'source_of_numbers = "our estimate"\n[[check]]\nid = "timing_light"\ntext = "Light."\n'
            'minutes = 1\ntells = ["timing"]\n'
            f'cautions = ["run_outdoors", "outboard_water", "moving_parts"]\n{SOURCE}',
            ["timing_light", "needs", "running"],
        ),
        (
            'source_of_numbers = "our estimate"\n[[fact]]\nid = "ceramic"\ntext = "The nose."\n'
            f'usual = {{ sound = 0.9, cracked = 0.1 }}\nplug = {{ cracked = "replace" }}\n{SOURCE}',
            ["ceramic", "do_not_start"],
        ),
    ],
)
def test_a_wrong_file_gives_one_clear_line(lay, text, words) -> None:
    path = lay(text)
    with pytest.raises(KnowledgeError) as caught:
        knowledge()
    said = str(caught.value)
    assert said.startswith(str(path))
    assert said.endswith("Correct the file.")
    assert "\n" not in said
    for word in words:
        assert word in said
