"""From a job to a stage: the only place that knows which functions of the studio set it up."""

from dataclasses import replace

from pipelines.studio.lights.lamps import Lighting
from pipelines.studio.lights.rigs import sample_lights
from pipelines.studio.looks.job import Job
from pipelines.studio.looks.look import look
from pipelines.studio.materials.backdrops import BACKDROPS
from pipelines.studio.plug import FiringEnd, sample_plug
from pipelines.studio.staging import Stage, sample_empty, sample_stage, under_card

VISIBLE = ("chart", "bench_card", "grey_card")
BENCHES = {"bench wood": "wood", "steel plate": "steel", "rubber mat": "rubber"}
"""Grounds whose flat sheet, under a bench card, has another name."""
_DARK = Lighting("D65", (), 0.0, 0)


def firing_end(job: Job) -> FiringEnd:
    """The plug of a job that has one. Raises ValueError when it has none."""
    if job.plug is None:
        raise ValueError(f"photo {job.index} of look {job.look} has no plug")
    choice = job.plug
    return sample_plug(
        job.seed,
        choice.condition,  # type: ignore[arg-type]
        families=[choice.family],
        findings=choice.findings,
        shares=dict(choice.shares) if len(choice.shares) > 1 else None,
        pale=choice.pale,
        palette=choice.palette,
    )


def flat_bench(job: Job) -> str:
    """The sheet under a bench card: the job's background, or another of its look that is flat."""
    own = look(job.look).backgrounds
    flat = [BENCHES.get(name, name) for name in own if BENCHES.get(name, name) in BACKDROPS]
    wanted = BENCHES.get(job.background, job.background)
    return wanted if wanted in flat else flat[job.seed % len(flat)]


def stage_of(job: Job) -> Stage:
    """The stage of a job, lit."""
    lit = {
        "illuminants": job.illuminants,
        "size": job.size,
        "reference": job.reference if job.reference in VISIBLE else None,
        "mixed": job.mixed_light,
    }
    if job.plug is None:
        return sample_empty(job.seed, [job.background], objects=job.objects, **lit)
    plug = firing_end(job)
    if job.round_plug is None:
        return sample_stage(plug, job.seed, [job.background], job.view, share=job.share, **lit)
    bench = flat_bench(job)
    stage = under_card(plug, _DARK, job.round_plug, bench, float(job.seed % 360), job.seed)
    eye = stage.scene.view
    lights = sample_lights(job.seed, job.illuminants, eye.origin, eye.focus, job.mixed_light)
    scene = replace(stage.scene, lighting=lights.groups[0])
    return replace(stage, scene=scene, lights=lights, ground=bench, arrangement="under card")
