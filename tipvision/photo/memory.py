"""What decoding a photo takes of memory, reckoned from its header and bounded before it begins."""

from PIL import ImageMode

from tipvision.photo.fault import PhotoFault
from tipvision.photo.header import Header

MOST_MEMORY = 450_000_000  # bytes; with the rest of a reading its process stays under 600 MB

# Bytes a pixel at the decoder's peak; in full no less than one for each channel.
# source: measured: python -m pipelines.bench.decode_memory
_BYTES = {"JPEG": 3, "PNG": 4, "TIFF": 4, "HEIC": 5, "WebP": 6, "AVIF": 9, "DNG": 20}
_HALVED = {"JPEG": 1, "DNG": 5}  # of the full picture's pixels, where every second one is made


def needed(header: Header, half: bool, held: int) -> float:
    """Bytes that decoding takes, at full or half scale. held: bytes of the file in memory."""
    if half:
        a_pixel = _HALVED[header.kind]
    else:
        a_pixel = max(_BYTES[header.kind], len(ImageMode.getmode(header.mode).bands))
    if header.deep and header.kind != "DNG":
        a_pixel *= 2
    if header.turned:
        a_pixel *= 2
    return held + header.pixels * (a_pixel + _coefficients(header))


def fits(header: Header, half: bool, held: int) -> bool:
    """Whether decoding takes no more than `MOST_MEMORY`."""
    return needed(header, half, held) <= MOST_MEMORY


def refuse_costly(header: Header, half: bool, held: int) -> None:
    """Raises PhotoFault for a picture whose decoding does not fit."""
    if not fits(header, half, held):
        bits = " of 16 bits a channel" if header.deep and header.kind != "DNG" else ""
        raise PhotoFault(
            f"A {header.kind} picture{bits} of {header.pixels / 1e6:.0f} megapixels takes too much "
            "memory to be read.",
            "Export it smaller, or as a JPEG that is not progressive.",
        )


def _coefficients(header: Header) -> float:
    """Bytes a pixel that a progressive JPEG keeps until its last pass: two for each sample."""
    if not header.layers:
        return 0.0
    widest = max(across for across, _ in header.layers)
    tallest = max(down for _, down in header.layers)
    return sum(2 * across * down / (widest * tallest) for across, down in header.layers)
