"""A shop's own models: kept as sealed folders, and which one serves told by one small file.

Every model is made in a folder beside its place and moved there whole; the file that says which
one serves is replaced whole. So whatever stops the program, the old state stands or the new one.
"""

import hashlib
import json
import re
import shutil
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tipvision.condition.model import Model, default_model, load_model
from tipvision.files import write_whole
from tipvision.home import home
from tipvision.sealed import ModelFault

SHIPPED = "shipped"
POINTER = "in_use.json"
PART = ".part-"
OLD_PART = 86_400.0  # seconds
SEAL = "sha256"  # key of the manifest's own digest in it
FORMAT = 1
_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,39}")


class StoreError(ValueError):
    """A model cannot be kept, found or promoted; one line says which, why and what to do."""


@dataclass(frozen=True)
class InUse:
    """name: of the model that serves, `SHIPPED` or one of the shop's. sha256: of its manifest, ""
    for the shipped one. before: (name, sha256) of those that served before it, latest last."""

    name: str = SHIPPED
    sha256: str = ""
    before: tuple[tuple[str, str], ...] = ()


def models_of_shop() -> Path:
    """Where a shop's own models lie."""
    return home() / "models"


def checked_name(name: str) -> str:
    """The name, if files on every system can bear it; StoreError otherwise."""
    if not _NAME.fullmatch(name) or name == SHIPPED:
        raise StoreError(
            f'"{name}" cannot name a model: use up to 40 small letters, digits, - and _, and not '
            f'"{SHIPPED}".'
        )
    return name


def next_name() -> str:
    """A name that no model bears yet."""
    taken, number = set(names()), 1
    while f"shop-{number}" in taken:
        number += 1
    return f"shop-{number}"


def names() -> tuple[str, ...]:
    """Names of the shop's own models, in order, damaged ones too."""
    folder = models_of_shop()
    if not folder.is_dir():
        return ()
    return tuple(sorted(p.name for p in folder.iterdir() if p.is_dir() and _NAME.fullmatch(p.name)))


def keep(name: str, make: Callable[[Path], None]) -> Path:
    """Keep a model under a name that is free; returns its folder.

    make: fills the folder that it is given. Raises StoreError for a bad or taken name.
    """
    folder = models_of_shop() / checked_name(name)
    if folder.exists():
        raise StoreError(f'A model called "{name}" is there already. Give another name.')
    folder.parent.mkdir(parents=True, exist_ok=True)
    _clear_parts(folder.parent)
    made = Path(tempfile.mkdtemp(dir=folder.parent, prefix=PART))
    try:
        make(made)
        _seal_manifest(made / "manifest.json")
        made.chmod(0o755)
        made.rename(folder)
    finally:
        shutil.rmtree(made, ignore_errors=True)
    return folder


def in_use() -> InUse:
    """Which model serves; the shipped one where nothing was promoted.

    Raises ModelFault when the file that says so cannot be read.
    """
    path = models_of_shop() / POINTER
    try:
        held = json.loads(path.read_bytes())
        if held["format"] != FORMAT:
            raise ValueError(f"format {held['format']}")
        before = tuple((str(name), str(digest)) for name, digest in held["before"])
        used = InUse(str(held["model"]), str(held["sha256"]), before)
        for name, _ in ((used.name, ""), *before):
            if name != SHIPPED:
                checked_name(name)
        return used
    except FileNotFoundError:
        return InUse()
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise ModelFault(f"{path} does not say which model serves. {_BACK}") from error


_BACK = "The model that ships serves again after: tipvision models revert --shipped"


def model_in_use() -> Model:
    """The model that serves.

    Raises ModelFault, with the way back, when it is missing or not the one that was promoted.
    """
    used = in_use()
    if used.name == SHIPPED:
        return default_model()
    try:
        return _loaded(models_of_shop() / used.name, used.sha256)
    except ModelFault as fault:
        raise ModelFault(f'The model in use, "{used.name}", is refused: {fault} {_BACK}') from fault


def model_called(name: str) -> Model:
    """The shipped model, or one of the shop's own; StoreError when there is none of that name.

    Raises ModelFault when it is damaged.
    """
    return default_model() if name == SHIPPED else _loaded(_folder(name))


def manifest_of(name: str) -> Mapping[str, Any]:
    """What was written of one of the shop's models when it was made, after its seal was checked.

    Raises StoreError when there is none of that name, ModelFault when it is damaged.
    """
    folder = _folder(name)
    _loaded(folder)
    manifest: Mapping[str, Any] = json.loads((folder / "manifest.json").read_bytes())
    return manifest


def _loaded(folder: Path, promoted: str | None = None) -> Model:
    """The model in a folder whose manifest is as it was made.

    promoted: SHA-256 that its manifest must have. Raises ModelFault.
    """
    try:
        content = (folder / "manifest.json").read_bytes()
        manifest = json.loads(content)
        sealed_as = manifest.pop(SEAL)
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise ModelFault(f"{folder} is not there, or incomplete.") from error
    changed = promoted is not None and hashlib.sha256(content).hexdigest() != promoted
    if changed or _digest_of(manifest) != sealed_as:
        raise ModelFault(f"{folder / 'manifest.json'} was changed after it was made.")
    try:
        return load_model(folder)
    except ModelFault as fault:
        raise ModelFault(str(fault).removesuffix(" Install it again.")) from fault


def _seal_manifest(path: Path) -> None:
    """Write into a manifest the digest of the rest of it."""
    manifest = json.loads(path.read_bytes())
    manifest[SEAL] = _digest_of(manifest)
    path.write_text(json.dumps(manifest, indent=2) + "\n", "utf-8")


def _digest_of(manifest: Mapping[str, Any]) -> str:
    return hashlib.sha256(json.dumps(manifest, sort_keys=True).encode()).hexdigest()


def promote(name: str) -> InUse:
    """Let one of the shop's models serve.

    Raises StoreError when it has not earned that, or was held against another model than the one
    in use; ModelFault when it is damaged.
    """
    used, metrics = in_use(), manifest_of(name)["metrics"]
    if used.name == name:
        raise StoreError(f'"{name}" is in use already.')
    faults: Sequence[str] = metrics["faults"]
    if faults:
        raise StoreError(f'"{name}" has not earned its place: {" ".join(faults)}')
    rival = metrics["compared_with"]
    if (rival["name"], rival["sha256"]) != (used.name, used.sha256):
        raise StoreError(
            f'"{name}" was held against "{rival["name"]}", but "{used.name}" is in use now. '
            "Train again."
        )
    return _serve(name, (*used.before, (used.name, used.sha256)))


def revert(shipped: bool = False) -> InUse:
    """Let the model serve that did before, or the shipped one.

    Raises StoreError when none did before; ModelFault when it is damaged.
    """
    if shipped:
        return _serve(SHIPPED, ())
    used = in_use()
    if not used.before:
        raise StoreError("No other model was in use before this one.")
    (name, digest), before = used.before[-1], used.before[:-1]
    if name != SHIPPED and _digest(_folder(name)) != digest:
        raise ModelFault(f'"{name}" is not the model that served before. {_BACK}')
    return _serve(name, before)


def _serve(name: str, before: tuple[tuple[str, str], ...]) -> InUse:
    model_called(name)
    digest = "" if name == SHIPPED else _digest(_folder(name))
    used = InUse(name, digest, before)
    body = {"format": FORMAT, "model": name, "sha256": digest, "before": before}
    models_of_shop().mkdir(parents=True, exist_ok=True)
    write_whole(models_of_shop() / POINTER, json.dumps(body, indent=1).encode())
    return used


def _clear_parts(folder: Path) -> None:
    """Take away what stopped trainings left; one that runs now is younger than `OLD_PART`."""
    for part in folder.glob(f"{PART}*"):
        with suppress(OSError):
            if time.time() - part.stat().st_mtime > OLD_PART:
                shutil.rmtree(part) if part.is_dir() else part.unlink()


def _folder(name: str) -> Path:
    folder = models_of_shop() / checked_name(name)
    if not folder.is_dir():
        kept = ", ".join((SHIPPED, *names()))
        raise StoreError(f'No model is called "{name}". There are: {kept}.')
    return folder


def _digest(folder: Path) -> str:
    try:
        return hashlib.sha256((folder / "manifest.json").read_bytes()).hexdigest()
    except OSError as error:
        raise ModelFault(f"{folder} is not there, or incomplete.") from error
