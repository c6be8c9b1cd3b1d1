"""From a job to a stage: the only place that knows which functions of the studio set it up."""

from dataclasses import replace

import numpy as np

from pipelines.studio.known import light_of
from pipelines.studio.lights.lamps import Lighting
from pipelines.studio.lights.rigs import sample_lights
from pipelines.studio.looks.job import Job, PlugChoice
from pipelines.studio.looks.look import Look, look
from pipelines.studio.materials.backdrops import BACKDROPS
from pipelines.studio.plug import FiringEnd, sample_plug
from pipelines.studio.staging import Stage, sample_empty, sample_stage, under_card

VISIBLE = ("chart", "bench_card", "grey_card")
BENCHES = {"bench wood": "wood", "steel plate": "steel", "rubber mat": "rubber"}
"""Grounds whose flat sheet, under a bench card, has another name."""
NEXT_PLUG = 10_000_000
"""Between the seeds of the plugs of a row: more than all looks have."""

_DARK = Lighting("D65", (), 0.0, 0)


def firing_ends(job: Job) -> tuple[FiringEnd, ...]:
    """The plugs of a job, from one to four. Raises ValueError when it has none."""
    if job.plug is None:
        raise ValueError(f"photo {job.index} of look {job.look} has no plug")
    choices = (job.plug, *job.row)
    of = look(job.look)
    return tuple(_firing_end(job.seed + k * NEXT_PLUG, c, of) for k, c in enumerate(choices))


def _firing_end(seed: int, choice: PlugChoice, of: Look) -> FiringEnd:
    return sample_plug(
        seed,
        choice.condition,  # type: ignore[arg-type]
        families=[choice.family],
        findings=choice.findings,
        shares=dict(choice.shares) if len(choice.shares) > 1 else None,
        pale=choice.pale,
        palette=choice.palette,
        metal=_metal(seed, choice, of),
    )


def _metal(seed: int, choice: PlugChoice, of: Look) -> str:
    """The kind of metal: of new plugs, or of used ones without regard to which condition it is.

    A plug between new and used keeps what its conditions paint. Heat keeps soot and oil off: what
    is overheated has no such metal over its tints.
    """
    conditions = [name for name, _ in choice.shares]
    metals = of.new_metals if conditions == ["unused"] else of.used_metals
    if not metals or ("unused" in conditions and len(conditions) > 1):
        return "plain"
    names, shares = zip(*metals, strict=True)
    metal = str(np.random.default_rng([seed, 62]).choice(names, p=shares))
    return "plain" if "chalk_white" in conditions and metal in ("sooty", "varnished") else metal


def flat_bench(job: Job) -> str:
    """The sheet under a bench card: the job's background, or another of its look that is flat."""
    own = look(job.look).backgrounds
    flat = [BENCHES.get(name, name) for name in own if BENCHES.get(name, name) in BACKDROPS]
    wanted = BENCHES.get(job.background, job.background)
    return wanted if wanted in flat else flat[job.seed % len(flat)]


def lamp_names(stage: Stage) -> str:
    """What the lamps of a stage are called in its stored light."""
    return " and ".join(part.illuminant for part in light_of(stage))


def under_bench_lamp(stage: Stage, job: Job) -> Stage:
    """The stage without a flash, which moves with the camera, and without a passing shadow: neither
    is in the light that a shop stores."""
    lights, eye = stage.lights, stage.scene.view
    assert lights is not None
    for k in range(1, 100):
        if lights.kind != "flash":
            break
        other = job.seed + k * NEXT_PLUG
        lights = sample_lights(other, job.illuminants, eye.origin, eye.focus, job.mixed_light)
    items = tuple(item for item in stage.scene.items if item.name != "shade")
    return replace(
        stage,
        scene=replace(stage.scene, items=items, lighting=lights.groups[0]),
        lights=replace(lights, shade=None),
        references=tuple(
            replace(r, state=tuple(s for s in r.state if s != "shaded")) for r in stage.references
        ),
    )


def stage_of(job: Job) -> Stage:
    """The stage of a job, lit."""
    stage = _stage_of(job)
    return under_bench_lamp(stage, job) if job.reference == "stored_light" else stage


def _stage_of(job: Job) -> Stage:
    lit = {
        "illuminants": job.illuminants,
        "size": job.size,
        "reference": job.reference if job.reference in VISIBLE else None,
        "mixed": job.mixed_light,
    }
    if job.plug is None:
        return sample_empty(job.seed, [job.background], objects=job.objects, **lit)
    plugs = firing_ends(job)
    if job.round_plug is None:
        return sample_stage(
            plugs,
            job.seed,
            [job.background],
            job.view,
            share=job.share,
            holders=job.holders,
            gloves=job.gloves,
            loose=job.objects,
            **lit,
        )
    bench = flat_bench(job)
    stage = under_card(plugs[0], _DARK, job.round_plug, bench, float(job.seed % 360), job.seed)
    eye = stage.scene.view
    lights = sample_lights(job.seed, job.illuminants, eye.origin, eye.focus, job.mixed_light)
    scene = replace(stage.scene, lighting=lights.groups[0])
    return replace(stage, scene=scene, lights=lights, ground=bench, arrangement="under card")
