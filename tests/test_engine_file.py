import re
from dataclasses import replace
from pathlib import Path

import pytest

from tests.whole_engine import WHOLE_ENGINE
from tipvision.causes.explanation import Engine
from tipvision.engine_file import EngineFileError, load_engine, parse_engine

WHOLE = """
name = "TB-07"
stroke = "two"
fuel = "carburettor"
cooling = "air"

[plug]
thread = "M14"
seat = "gasket"
head = "aluminium"
gap_mm = [0.5, 0.6]
heat_range = "higher_is_colder"

[jetting]
altitude_m = 300
temperature_c = 15
"""


def test_a_whole_file() -> None:
    assert parse_engine(WHOLE, "tb-07.toml") == replace(WHOLE_ENGINE, cooling="air", name="TB-07")


def test_everything_may_be_left_out() -> None:
    assert parse_engine("", "empty.toml") == Engine()


@pytest.mark.parametrize(
    ("written", "gap"),
    [("gap_mm = 0.7", (0.7, 0.7)), ("gap_in = [0.02, 0.03]", (0.508, 0.762))],
)
def test_gaps_in_either_unit(written: str, gap: tuple[float, float]) -> None:
    assert parse_engine(f"[plug]\n{written}", "a.toml").gap_mm == pytest.approx(gap)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("stroke = ", "valid TOML"),
        ('stroke = "tow"', "`stroke` is 'tow', not one of two, four"),
        ("stroke = 2", "`stroke` is 2"),
        ('storke = "two"', "`storke` is no field"),
        ("plug = 14", "`plug` is not a table"),
        ('[plug]\nthread = "M15"', "`plug.thread` is 'M15'"),
        ('[plug]\ntread = "M14"', "`plug.tread` is no field"),
        ("[plug]\ngap_mm = [0.8, 0.7]", "larger number first"),
        ("[plug]\ngap_mm = [0.7]", "not one number or two"),
        ("[plug]\ngap_mm = 0.028", "not within"),
        ("[plug]\ngap_in = 0.7", "not within"),
        ("[plug]\ngap_mm = true", "not a number"),
        ("[plug]\ngap_mm = 0.7\ngap_in = 0.028", "keep one"),
        ("[jetting]\naltitude_m = 9000", "not within"),
        ("[jetting]\ntemperature_c = nan", "not within"),
        ('name = ""', "plain letters"),
        ('name = "a\\nb"', "plain letters"),
        (f'name = "{"a" * 100}"', "longer than"),
    ],
)
def test_a_fault_is_told_in_one_line_with_the_file(text: str, words: str) -> None:
    with pytest.raises(EngineFileError) as caught:
        parse_engine(text, "qd-03.toml")
    said = str(caught.value)
    assert said.startswith("qd-03.toml: ") and words in said and "\n" not in said
    assert said.endswith("Correct it.")


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "photo.toml").write_bytes(b"\xff\xd8\xff")
    for name in ("gone.toml", "photo.toml"):
        with pytest.raises(EngineFileError, match=f"{name}: .*Give an engine file"):
            load_engine(tmp_path / name)


def test_a_file_with_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "tb-07.toml"
    path.write_text(WHOLE, "utf-8-sig")
    assert load_engine(path).name == "TB-07"


def test_the_file_in_the_readme_is_a_whole_one() -> None:
    readme = (Path(__file__).parents[1] / "README.md").read_text("utf-8")
    (shown,) = re.findall(r"```toml\n(name = .*?)```", readme, re.DOTALL)
    assert parse_engine(shown, "README.md") == parse_engine(WHOLE, "tb-07.toml")
