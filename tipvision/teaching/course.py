"""The whole way of a training: checks, measuring, fit, proof, and a model kept with its card."""

import hashlib
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from tipvision import __version__
from tipvision.condition.model import default_model
from tipvision.files import write_whole
from tipvision.light.said import Said
from tipvision.measure.bands import load_bands
from tipvision.teaching import store
from tipvision.teaching.card import Card, card_as_html, card_as_markdown
from tipvision.teaching.checks import checked, plugs_of, too_few
from tipvision.teaching.doubtful import doubts, opinion_of
from tipvision.teaching.held_out import held_out_worth
from tipvision.teaching.photos import Listing, in_its_folder
from tipvision.teaching.rows import LeftOut, Rows, measured
from tipvision.teaching.sheet import sheet_of
from tipvision.teaching.shop_bands import shop_bands
from tipvision.teaching.teach import answers_of, cross_judged, rival_judged, teach
from tipvision.teaching.worth import compared
from tipvision.teaching.writing import write_model

Say = Callable[[str, int, int], None]
"""Is told what is being done, how many photos are through, and of how many."""


class ChecksFailed(ValueError):
    """Nothing was trained; `faults` say why, a line each, `notes` what else was seen."""

    def __init__(self, faults: Sequence[str], notes: Sequence[str]) -> None:
        super().__init__("the checks before the training failed")
        self.faults, self.notes = tuple(faults), tuple(notes)


@dataclass(frozen=True)
class Trained:
    """What a training came to: the folder that holds its model, and the words of its card."""

    folder: Path
    card: Card


@dataclass(frozen=True)
class Material:
    """Photos checked and measured. notes: all that is to be known of them."""

    rows: Rows
    left_out: tuple[LeftOut, ...]
    notes: tuple[str, ...]


def gathered(listing: Listing, said: Said, say: Say = lambda *_: None) -> Material:
    """Check the photos, then measure them. Raises ChecksFailed before anything is measured, or
    when too few are left that the tool would answer."""
    count = len(listing.photos)
    found = checked(listing, lambda k: say("checking", k, count))
    if found.faults:
        raise ChecksFailed(found.faults, found.notes)
    count = len(found.photos)
    rows, left_out = measured(
        found.photos, found.plug, said, default_model(), lambda k: say("measuring", k, count)
    )
    notes = [f"{in_its_folder(one.photo)}: left out. {one.why}" for one in left_out]
    labels = rows.label.tolist()
    if faults := too_few(labels, rows.plug):
        raise ChecksFailed(
            [f"Of the photos that can be measured: {fault}" for fault in faults],
            (*found.notes, *notes),
        )
    return Material(rows, left_out, (*found.notes, *notes))


def train(material: Material, name: str, light: str, say: Say = lambda *_: None) -> Trained:
    """Teach a model on the rows, hold it against the one in use, and keep it with its card.

    light: how the light was told, in words. Raises StoreError for a name that cannot be used,
    ModelFault when the model in use is damaged.
    """
    store.checked_name(name)
    rows, default, used = material.rows, default_model(), store.in_use()
    rival, truth = store.model_in_use(), rows.label.tolist()
    photos = [_input(rows, k) for k in range(len(rows))]
    say("fitting", 0, 3)
    taught = teach(rows, default, name, f"from {default.name} {default.version}")
    say("fitting", 1, 3)
    crossed = cross_judged(rows, default)
    say("fitting", 2, 3)
    seen = np.isin([photo["sha256"] for photo in photos], _learnt_from(used.name))
    others = rival_judged(rows, rival, seen, default)
    say("fitting", 3, 3)
    found = doubts(rows, opinion_of(taught))
    plugs = plugs_of(truth, rows.plug)
    card = Card(
        name=name,
        start=f"{default.name} {default.version}",
        made_with=f"tipvision {__version__}",
        rival=used.name,
        light=light,
        plugs=plugs,
        photos={label: truth.count(label) for label in plugs},
        left_out=dict(Counter(one.code for one in material.left_out)),
        pull=taught.pull,
        moved=taught.moved,
        own_calibration=taught.own_calibration,
        worth=held_out_worth(truth, rows.plug, crossed),
        comparison=compared(rows.plug, truth, answers_of(crossed), answers_of(others)),
        bands=shop_bands(rows, load_bands()),
        doubtful=len(found),
        rival_saw=int(seen.sum()),
    )

    def write(out: Path) -> None:
        write_model(out, taught.model, "tipvision train", photos, _metrics(card, used))
        write_whole(out / "card.md", card_as_markdown(card).encode("utf-8"))
        write_whole(out / "card.html", card_as_html(card).encode("utf-8"))
        if found:
            write_whole(out / "doubtful.html", sheet_of(name, found).encode("utf-8"))

    return Trained(store.keep(name, write), card)


def _metrics(card: Card, used: store.InUse) -> dict[str, object]:
    """What `models` tells later, and what a promotion asks for."""
    return {
        "plugs": card.plugs,
        "photos": card.photos,
        "pull": card.pull,
        "moved": card.moved,
        "own_calibration": card.own_calibration,
        "compared_with": {"name": used.name, "sha256": used.sha256},
        "overall": asdict(card.comparison.overall),
        "conditions": {name: asdict(one) for name, one in card.comparison.conditions.items()},
        "faults": list(card.comparison.faults),
    }


def _input(rows: Rows, k: int) -> dict[str, str]:
    """What the manifest says of a photo: never where it lay."""
    path = Path(str(rows.photo[k]))
    return {
        "photo": path.name,
        "label": str(rows.label[k]),
        "plug": str(rows.plug[k]),
        "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
    }


def _learnt_from(name: str) -> list[str]:
    """SHA-256 of the shop's photos that a model has learnt from; none for the shipped one."""
    if name == store.SHIPPED:
        return []
    return [str(one["sha256"]) for one in store.manifest_of(name)["inputs"]]
