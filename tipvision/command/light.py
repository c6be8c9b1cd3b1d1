"""`tipvision light`: lights that are measured once with the chart and named for later photos."""

import argparse
import hashlib
from pathlib import Path, PurePath

from tipvision.command import READ_OK, UNREADABLE, WRONG_USAGE, say
from tipvision.light.chart.editions import edition_of
from tipvision.light.chart.find import find_chart
from tipvision.light.from_chart import fit_of_chart
from tipvision.light.store import (
    StoreError,
    checked_name,
    drop,
    keep,
    load,
    origin_of,
    stored_names,
)
from tipvision.light.stored import StoredLight, conditions_of
from tipvision.photo.fault import PhotoFault
from tipvision.photo.photo import open_photo


def run_keep(options: argparse.Namespace) -> int:
    """Measure the light on the chart in a photo and store it; a bad chart is refused."""
    try:
        checked_name(options.name)
        edition_of(options.chart_edition)
    except (StoreError, ValueError) as error:
        return _wrong_usage(error)
    try:
        photo = open_photo(options.photo)
        overview = photo.overview()
        view = find_chart(overview, photo.size)
        if view is None:
            return _no_light(options.photo, "no 24-patch chart was found in it. Show it whole.")
        fit = fit_of_chart(photo, view, options.chart_edition)
        if fit.correction is None or fit.samples is None:
            return _no_light(options.photo, f"its chart is refused: {fit.reason}")
        conditions = conditions_of(photo.metadata, overview)
        light = StoredLight(
            options.name, fit.correction, fit.samples, fit.verdict, fit.mean, conditions
        )
        origin = {
            "photo": PurePath(options.photo).name,
            "sha256": hashlib.sha256(Path(options.photo).read_bytes()).hexdigest(),
            "edition": options.chart_edition,
        }
        path = keep(light, origin)
    except PhotoFault as fault:
        say(
            f"error[{fault.reason.code}]: {options.photo}: {fault.reason.text} "
            f"{fault.reason.remedy}"
        )
        return UNREADABLE
    print(f"{light.name}: {fit.verdict}, {_fitted(light)}")
    if fit.reason:
        say(f"note: {fit.reason}")
    if conditions.exposure is None:
        say(
            "note: the photo does not tell its exposure, so this light gives colour, not lightness."
        )
    say(f"written: {path}")
    return READ_OK


def run_list(_: argparse.Namespace) -> int:
    """A line for each stored light; one that cannot be used says why."""
    status, names = READ_OK, stored_names()
    if not names:
        say("note: no light is kept yet: tipvision light keep PHOTO --name NAME")
    for name in names:
        try:
            light, origin = load(name), origin_of(name)
        except StoreError as error:
            status = UNREADABLE
            say(f"error[light]: {error}")
            continue
        camera = light.taken_with.model or "camera not told"
        print(f"{light.name}: {light.verdict}, {_fitted(light)}; {camera}; {origin['photo']}")
    return status


def run_drop(options: argparse.Namespace) -> int:
    """Delete a stored light."""
    try:
        path = drop(options.name)
    except StoreError as error:
        return _wrong_usage(error)
    say(f"deleted: {path}")
    return READ_OK


def _fitted(light: StoredLight) -> str:
    return f"patches predicted within {light.residual:.1f} CIEDE2000 on average"


def _no_light(photo: str, fault: str) -> int:
    say(f"error[light]: {photo}: {fault}")
    return UNREADABLE


def _wrong_usage(fault: Exception) -> int:
    say(f"error[usage]: {fault}")
    return WRONG_USAGE
