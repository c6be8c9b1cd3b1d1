"""The command line answers at once because nothing heavy is loaded before it is needed."""

import subprocess
import sys
from pathlib import Path

import pytest

import tipvision

HEAVY = {"cv2", "sklearn", "matplotlib", "torch", "numpy", "PIL", "jinja2", "scipy", "skimage"}
LOADED = "import sys; print(*sorted(m.split('.')[0] for m in sys.modules))"


def loaded_by(code: str) -> set[str]:
    run = subprocess.run(
        [sys.executable, "-c", f"{code}\n{LOADED}"], capture_output=True, text=True, check=True
    )
    return set(run.stdout.splitlines()[-1].split())


@pytest.mark.parametrize(
    "code",
    [
        "import tipvision",
        "import tipvision.command as c\ntry: c.main(['--help'])\nexcept SystemExit: pass",
        "import tipvision.command as c\ntry: c.main(['read', '--help'])\nexcept SystemExit: pass",
        "import tipvision.command as c\ntry: c.main(['train', '-h'])\nexcept SystemExit: pass",
        "import tipvision.command as c\ntry: c.main(['reckon', '-h'])\nexcept SystemExit: pass",
        "import tipvision.command as c\ntry: c.main(['--version'])\nexcept SystemExit: pass",
    ],
)
def test_nothing_heavy_is_loaded(code):
    assert not loaded_by(code) & HEAVY


@pytest.mark.parametrize(
    "code", ["import tipvision\ntipvision.read", "import tipvision.command.read"]
)
def test_reading_a_photo_needs_no_training_or_plotting_library(code):
    loaded = loaded_by(code)
    assert "cv2" in loaded
    assert not loaded & {
        "sklearn",
        "scipy",
        "matplotlib",
        "torch",
        "skimage",
        "jinja2",
        "reportlab",
    }


PACKAGE = Path(tipvision.__file__).parent
STATIONS = (
    *("photo", "colour", "light", "tip", "measure", "condition", "causes", "bench_card"),
    *("workshop", "comparison"),
)
OUTER = (
    *("tipvision.command", "tipvision.report", "tipvision.reading", "tipvision.teaching"),
    *("pipelines", "argparse"),
)


@pytest.mark.parametrize("station", STATIONS)
def test_a_station_knows_nothing_of_what_comes_after_it(station):
    for module in sorted((PACKAGE / station).rglob("*.py")):
        lines = module.read_text("utf-8").splitlines()
        imports = [s for s in map(str.strip, lines) if s.startswith(("import ", "from "))]
        reached = [s for s in imports if any(s.split()[1].startswith(o) for o in OUTER)]
        assert not reached, f"{module} imports {reached}"
