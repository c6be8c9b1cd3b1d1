#!/bin/sh
# Renders a look on a GPU machine that has Python 3.12 but no renderer, from the folder .carried:
# mitsuba.tar.xz (mitsuba and drjit, unpacked wheels) and the colour-science wheel.
# Usage: sh pipelines/studio/gpu_run.sh LOOK COUNT WORKERS SECONDS OUT [more of `render`]
set -eu
site=${TMPDIR:-/tmp}/studio-site
if [ ! -d "$site" ]; then
    mkdir -p "$site"
    tar -xJf .carried/mitsuba.tar.xz -C "$site"
    python3 -m zipfile -e .carried/colour_science-*.whl "$site"
fi
export PYTHONPATH="$site" PYTHONUNBUFFERED=1
look=$1 count=$2 workers=$3 seconds=$4 out=$5
shift 5
python3 -m pipelines.studio render --look "$look" --count "$count" --workers "$workers" \
    --seconds "$seconds" --out "$out" "$@"
