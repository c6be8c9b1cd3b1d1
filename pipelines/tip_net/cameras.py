"""What real cameras and the web do to a picture, for batches on the GPU.

Pictures are float (n, 3, h, w), sRGB-encoded RGB 0 to 1. Every function draws each picture's own
strength. Source of all ranges: our estimate, after photos that workshops send.
"""

import math
from functools import cache

import torch
from torch import Tensor
from torch.nn.functional import avg_pool2d, interpolate, pad

BORDER = 8
"""Pixels that a picture is carried on by before it is blurred: three widths of the widest blur."""

QUARTERS = 4
LUMA = (0.299, 0.587, 0.114)

_LUMINANCE_STEPS = (
    *(16, 11, 10, 16, 24, 40, 51, 61, 12, 12, 14, 19, 26, 58, 60, 55),
    *(14, 13, 16, 24, 40, 57, 69, 56, 14, 17, 22, 29, 51, 87, 80, 62),
    *(18, 22, 37, 56, 68, 109, 103, 77, 24, 35, 55, 64, 81, 104, 113, 92),
    *(49, 64, 78, 87, 103, 121, 120, 101, 72, 92, 95, 98, 112, 100, 103, 99),
)
"""Quantisation steps of a JPEG's lightness (from memory, unchecked; they only blur)."""


def drawn(n: int, low: float, high: float, like: Tensor) -> Tensor:
    """(n, 1, 1, 1) uniform numbers."""
    return torch.rand((n, 1, 1, 1), device=like.device) * (high - low) + low


def some(n: int, share: float, like: Tensor) -> Tensor:
    """(n, 1, 1, 1), true for that share of the pictures."""
    return torch.rand((n, 1, 1, 1), device=like.device) < share


def toned(x: Tensor) -> Tensor:
    """Exposure, cast, saturation, contrast and gamma."""
    n = len(x)
    cast = torch.exp(torch.randn((n, 3, 1, 1), device=x.device) * 0.12)
    strong = torch.exp(torch.randn((n, 3, 1, 1), device=x.device) * 0.35)
    cast = torch.where(some(n, 0.15, x), strong, cast)
    x = x * torch.exp(drawn(n, -0.8, 0.6, x)) * cast
    grey = _luma(x)
    saturation = torch.where(some(n, 0.06, x), 0.0, drawn(n, 0.4, 1.5, x))
    x = grey + (x - grey) * saturation
    middle = x.mean((1, 2, 3), keepdim=True)
    x = (x - middle) * torch.exp(drawn(n, -0.45, 0.35, x)) + middle
    return x.clamp(1e-4, 1.0) ** torch.exp(drawn(n, -0.5, 0.5, x))


def blurred(x: Tensor) -> Tensor:
    """Gaussian blur of any direction: round for focus, long for a moving hand; half stay sharp."""
    n = len(x)
    wide = torch.exp(drawn(n, math.log(0.4), math.log(2.6), x))
    wide = torch.where(some(n, 0.5, x), 0.25, wide)
    narrow = wide / torch.where(some(n, 0.3, x), drawn(n, 1.5, 5.0, x), 1.0)
    turn = drawn(n, 0.0, math.pi, x)
    waves = torch.fft.rfft2(pad(x, (BORDER,) * 4, mode="replicate"))
    h, w = x.shape[-2] + 2 * BORDER, x.shape[-1] + 2 * BORDER
    u = torch.fft.rfftfreq(w, device=x.device).view(1, 1, 1, -1)
    v = torch.fft.fftfreq(h, device=x.device).view(1, 1, -1, 1)
    along, across = u * turn.cos() + v * turn.sin(), v * turn.cos() - u * turn.sin()
    kept = torch.exp(-2 * math.pi**2 * ((along * wide) ** 2 + (across * narrow) ** 2))
    out = torch.fft.irfft2(waves * kept, s=(h, w))
    return out[..., BORDER:-BORDER, BORDER:-BORDER]


def noisy(x: Tensor) -> Tensor:
    """Sensor noise, half of it coarse as phones leave it, more in the dark."""
    n, _, h, w = x.shape
    strength = torch.where(some(n, 0.6, x), drawn(n, 0.0, 0.025, x), drawn(n, 0.0, 0.09, x))
    fine = torch.randn_like(x)
    coarse = interpolate(torch.randn_like(x[..., ::2, ::2]), size=(h, w), mode="bilinear")
    mix = drawn(n, 0.0, 1.0, x)
    return x + strength * (mix * fine + (1 - mix) * coarse) * (1.3 - 0.6 * x)


def sharpened(x: Tensor) -> Tensor:
    """Edges drawn harder than they are."""
    n = len(x)
    soft = avg_pool2d(pad(x, (1, 1, 1, 1), mode="replicate"), 3, 1)
    amount = torch.where(some(n, 0.3, x), drawn(n, 0.3, 2.0, x), 0.0)
    return x + amount * (x - soft)


def shrunk(x: Tensor, most: float) -> Tensor:
    """Made small, at most by `most`, and large again; a quarter of the batch shares a factor, half
    are left alone."""
    side = x.shape[-1]
    parts = []
    for part in x.chunk(QUARTERS):
        factor = float(torch.exp(torch.rand(()) * math.log(most)))
        if float(torch.rand(())) < 0.5 or factor < 1.1:
            parts.append(part)
            continue
        small = interpolate(part, size=(max(8, round(side / factor)),) * 2, mode="area")
        how = ("bilinear", "bicubic", "nearest")[int(torch.randint(0, 3, ()))]
        parts.append(interpolate(small, size=(side, side), mode=how))
    return torch.cat(parts)


def jpeg(x: Tensor) -> Tensor:
    """Stored as JPEG of quality 25 to 95, colours at half size; sides must divide by 16."""
    n = len(x)
    quality = drawn(n, 25.0, 95.0, x)
    factor = torch.where(quality < 50, 50.0 / quality, 2.0 - quality / 50.0)
    y = _luma(x)
    blue, red = (x[:, 2:] - y) / 1.772, (x[:, :1] - y) / 1.402
    colours = avg_pool2d(torch.cat([blue, red], 1), 2)
    steps = _steps(x.device)
    y = _quantised(y, steps * factor.view(-1, 1, 1))
    colours = _quantised(colours, steps.clamp(max=99 / 255) * 1.3 * factor.view(-1, 1, 1))
    colours = interpolate(colours, scale_factor=2.0, mode="nearest")
    b, r = colours[:, :1], colours[:, 1:]
    red, blue = y + 1.402 * r, y + 1.772 * b
    green = (y - LUMA[0] * red - LUMA[2] * blue) / LUMA[1]
    stored = torch.cat([red, green, blue], 1)
    return torch.where(some(n, 0.6, x), stored, x)


def _luma(x: Tensor) -> Tensor:
    return LUMA[0] * x[:, :1] + LUMA[1] * x[:, 1:2] + LUMA[2] * x[:, 2:]


def _quantised(x: Tensor, steps: Tensor) -> Tensor:
    """Blocks of 8 by 8 pixels as waves, rounded to `steps` (n or 1, 1, 64)."""
    n, c, h, w = x.shape
    blocks = x.reshape(n, c, h // 8, 8, w // 8, 8).transpose(3, 4).reshape(n, -1, 64)
    waves = blocks @ _waves(x.device).T
    blocks = torch.round(waves / steps) * steps @ _waves(x.device)
    return blocks.reshape(n, c, h // 8, w // 8, 8, 8).transpose(3, 4).reshape(n, c, h, w)


@cache
def _steps(device: torch.device) -> Tensor:
    return torch.tensor(_LUMINANCE_STEPS, dtype=torch.float32, device=device).view(1, 1, 64) / 255


@cache
def _waves(device: torch.device) -> Tensor:
    """The 64 cosine waves of a block, (64, 64), a row each."""
    k = torch.arange(8, dtype=torch.float32)
    basis = torch.cos((2 * k[None, :] + 1) * k[:, None] * math.pi / 16) / 2
    basis[0] /= math.sqrt(2)
    return torch.kron(basis, basis).to(device)


def photographed(x: Tensor, most_shrunk: float) -> Tensor:
    """All of it, in the order in which it happens; the result is clipped to 0 to 1."""
    x = noisy(blurred(toned(x))).clamp(0, 1)
    return jpeg(shrunk(sharpened(x), most_shrunk).clamp(0, 1)).clamp(0, 1)
