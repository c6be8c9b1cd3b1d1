"""What one `tipvision read` costs as a whole process, against one that only decodes the photo.

`python -m pipelines.bench.whole_process [PHOTO] [--runs N]`. Without a photo, a demo photo is
enlarged to 12 megapixels. CPU time and peak memory are the children's own, by the operating
system's count; the two commands take turns, so that a busy machine slows both alike. Both find
their modules compiled, as every start but a shop's first does.
"""

import argparse
import json
import multiprocessing
import os
import resource
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tipvision.shipped import demo_folder

MOST_CPU_RATIO = 2.0
MOST_MEMORY_MB = 250
NOISE_SD = 3.0  # 8-bit codes (our estimate)
DECODE_ONLY = "import sys, cv2; assert cv2.imread(sys.argv[1]) is not None"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", maxsplit=1)[0])
    parser.add_argument("photo", nargs="?", type=Path)
    parser.add_argument("--runs", type=int, default=9)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        photo = options.photo or made_elsewhere(Path(folder))
        decode = [sys.executable, "-c", DECODE_ONLY, str(photo)]
        reading = [sys.executable, "-m", "tipvision", "read", "--json", str(photo)]
        around = compiled_in(Path(folder))
        warm = subprocess.run(reading, capture_output=True, check=True, env=around)
        record = json.loads(warm.stdout)
        print(f"photo: {photo.name}, comes out as {record['outcome']} {record['condition']}")
        peer, ours = [], []
        for _ in range(options.runs):
            peer.append(spent(decode, around))
            ours.append(spent(reading, around))
    peer_cpu, our_cpu = (statistics.median(cpu for cpu, _ in runs) for runs in (peer, ours))
    ratio, memory = our_cpu / peer_cpu, max(mb for _, mb in ours)
    print(f"runs: {options.runs}, medians of CPU seconds")
    print(f"import OpenCV and decode: {peer_cpu:.3f} s, peak {max(mb for _, mb in peer):.0f} MB")
    print(f"tipvision read --json:    {our_cpu:.3f} s, peak {memory:.0f} MB")
    print(f"ratio {ratio:.2f} (limit {MOST_CPU_RATIO}), memory {memory:.0f} MB ({MOST_MEMORY_MB})")
    return int(ratio > MOST_CPU_RATIO or memory > MOST_MEMORY_MB)


def made_elsewhere(folder: Path) -> Path:
    """A photo of 12 megapixels, made in a process of its own: a child's peak memory is counted from
    what its parent held when it was started."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(enlarged, (folder, 4032))


def enlarged(folder: Path, width: int) -> Path:
    """A demo photo at `width` pixels across."""
    small = np.asarray(cv2.imread(str(demo_folder() / "tb-07-a.jpg")), np.uint8)
    size = (width, width * 3 // 4)
    return dense_jpeg(folder / f"{round(width * size[1] / 1e6)}-megapixels.jpg", small, size, 90)


def dense_jpeg(path: Path, small: NDArray[np.uint8], size: tuple[int, int], quality: int) -> Path:
    """A picture enlarged to (width, height), with fresh sensor noise so that its JPEG is as dense
    as a phone's."""
    large = np.asarray(cv2.resize(small, size, interpolation=cv2.INTER_CUBIC), np.float32)
    large += np.random.default_rng(0).normal(0, NOISE_SD, large.shape).astype(np.float32)
    codes = np.clip(large, 0, 255).astype(np.uint8)
    cv2.imwrite(str(path), codes, [cv2.IMWRITE_JPEG_QUALITY, quality])
    return path


def compiled_in(folder: Path) -> dict[str, str]:
    """The environment of children that keep what they compile in `folder`, whatever this process
    was told of that."""
    around = {**os.environ, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    around.pop("PYTHONDONTWRITEBYTECODE", None)
    return around


def spent(command: list[str], around: Mapping[str, str] | None = None) -> tuple[float, float]:
    """CPU seconds and peak memory in MB of one child process that must succeed."""
    child = subprocess.Popen(command, stdout=subprocess.DEVNULL, env=around)
    usage = used_by(child)
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def used_by(child: subprocess.Popen[bytes]) -> resource.struct_rusage:
    """What a child process that must succeed has used, by the operating system's count."""
    _, status, usage = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode != 0:
        raise SystemExit(f"{child.args!r} ended with status {child.returncode}")
    return usage


if __name__ == "__main__":
    sys.exit(main())
