"""Smaller copies of photographs for a screen. Whoever waits for one waits for no more than what unpacks pictures."""

from __future__ import annotations

import io
from pathlib import Path

from PIL import Image, ImageOps

from trialfit.store.photograph_files import DECODING, ORIENTATION, content_of, cut_short, opened_photograph, quiet


def screen_copy(path: Path, long_side_px: int) -> bytes:
    """Make a smaller, upright copy of a photograph for showing.

    Parameters
    ----------
    path
        The file.
    long_side_px
        Its long side at most; a smaller photograph keeps its size. [px]

    Returns
    -------
    bytes
        A JPEG without anything the camera wrote of place and time.

    Raises
    ------
    Refusal
        Not there, not a photograph, cut short, too small, or too large to be one.
    """
    with quiet():
        picture = opened_photograph(path, content_of(path, path.stem), path.stem)
        try:
            scale = min(1.0, long_side_px / max(picture.size))
            size = (max(1, round(picture.width * scale)), max(1, round(picture.height * scale)))
            picture.draft("RGB", size)
            whole = picture if picture.mode == "RGB" else picture.convert("RGB")
            # Hamming's window is as sharp as the bicubic one when a picture is made smaller, in half the time.
            small = whole.resize(size, Image.Resampling.HAMMING) if scale < 1 else whole
            if picture.format != "HEIF":
                small.getexif()[ORIENTATION] = int(picture.getexif().get(ORIENTATION) or 1)
                small = ImageOps.exif_transpose(small)
            written = io.BytesIO()
            small.save(written, "JPEG", quality=85, exif=b"")
        except DECODING as error:
            raise cut_short(path, path.stem) from error
    return written.getvalue()
