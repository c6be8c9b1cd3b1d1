"""Weights on disk: plain arrays, written whole, nothing pickled."""

import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch import Tensor, nn
from torch.optim import Optimizer


def write(path: Path, groups: Mapping[str, Mapping[str, Tensor]], told: Mapping[str, Any]) -> None:
    """Write named groups of tensors and `told` (as JSON text) beside the file, then move it."""
    arrays = {
        f"{group}/{name}": tensor.detach().cpu().numpy()
        for group, tensors in groups.items()
        for name, tensor in tensors.items()
    }
    part = path.with_name(f".{path.name}.part")
    with part.open("wb") as stream:
        np.savez(stream, told=np.array(json.dumps(told)), **arrays)
        stream.flush()
        os.fsync(stream.fileno())
    part.replace(path)


def read(path: Path) -> tuple[dict[str, dict[str, Tensor]], dict[str, Any]]:
    """What `write` wrote."""
    groups: dict[str, dict[str, Tensor]] = {}
    with np.load(path, allow_pickle=False) as arrays:
        for key in arrays.files:
            if key != "told":
                group, name = key.split("/", 1)
                groups.setdefault(group, {})[name] = torch.from_numpy(arrays[key])
        return groups, json.loads(str(arrays["told"]))


def state_of(net: nn.Module) -> dict[str, Tensor]:
    """Weights and running means of a net."""
    return dict(net.state_dict())


def moments_of(optimiser: Optimizer) -> dict[str, Tensor]:
    """AdamW's moments and step counts, numbered by parameter."""
    state = optimiser.state_dict()["state"]
    return {
        f"{number}.{name}": torch.as_tensor(value)
        for number, values in state.items()
        for name, value in values.items()
    }


def set_moments(optimiser: Optimizer, moments: Mapping[str, Tensor]) -> None:
    """Put back what `moments_of` gave."""
    state: dict[int, dict[str, Tensor]] = {}
    for key, value in moments.items():
        number, name = key.split(".", 1)
        state.setdefault(int(number), {})[name] = value
    optimiser.load_state_dict({**optimiser.state_dict(), "state": state})
