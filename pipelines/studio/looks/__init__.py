"""The three looks, split before anything is trained: what each may draw, and with which seeds.

*train* teaches, *tune* selects and calibrates, *report* is opened by the evaluation alone. Each is
a committed list (`train.toml`, `tune.toml`, `report.toml`: families of plugs, backgrounds,
illuminants, cameras, seeds), and `common.toml` holds what all share. `look` reads and checks the
lists, `deck` deals conditions and references in exact shares, `job` draws one photo from one seed,
`stage` sets it up. Then `studio.sets` renders and `studio.developing` makes the photos:

    python -m pipelines.studio render --look train --count 3000 --out .renders/train
    python -m pipelines.studio develop .renders/train --out .renders/photos --each 2
    python -m pipelines.studio sheet .renders/photos/manifest.jsonl --out .renders/sheet.jpg
    python -m pipelines.studio leaks .renders/photos/manifest.jsonl
"""

LOOKS = ("train", "tune", "report")
