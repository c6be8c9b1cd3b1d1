"""Where the files that ship beside the code lie: inside an installed package, or in a checkout."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _folder(in_package: str, in_checkout: str) -> Path:
    """An editable install does not see what the wheel carries, so both places are looked at."""
    for folder in (_PACKAGE / "shipped" / in_package, _PACKAGE.parent / in_checkout):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(
        f"tipvision is installed without its folder '{in_package}'. Install it again."
    )


def models_folder() -> Path:
    """The shipped models, one folder each."""
    return _folder("models", "models")


def demo_folder() -> Path:
    """The six demo photos."""
    return _folder("demo", "synthetic_images/demo")
