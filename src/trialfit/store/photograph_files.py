"""Photograph files as they come: opened, and refused where they are none."""

from __future__ import annotations

import io
import struct
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path

from PIL import Image, UnidentifiedImageError

from trialfit.errors import Refusal

MOST_PX = 100_000_000
LEAST_LONG_SIDE_PX = 1000
ORIENTATION = 274
"""Number of Exif's tag Orientation (CIPA DC-008)."""

_LYING = (5, 6, 7, 8)  # those of its values whose rows stand upright as columns

_KNOWN_TYPES = (
    (b"RIFF", "a WebP picture or other RIFF file"),
    (b"GIF8", "a GIF picture"),
    (b"II*\0", "a TIFF or raw camera file"),
    (b"MM\0*", "a TIFF or raw camera file"),
    (b"%PDF", "a PDF"),
    (b"PK\x03\x04", "a ZIP archive"),
    (b"BM", "a BMP picture"),
)
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1")
_WANTED = "a JPEG, PNG or HEIC photograph"

DECODING = (OSError, SyntaxError, ValueError, RuntimeError, EOFError, struct.error, Image.DecompressionBombError)
"""What unpacking a damaged picture may raise."""


@contextmanager
def quiet() -> Iterator[None]:
    """Keep Pillow from warning of large pictures below the size refused here.

    Yields
    ------
    None
        While a picture is opened.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        yield


def content_of(path: Path, name: str) -> bytes:
    """Read a file that is to be a photograph.

    Parameters
    ----------
    path
        The file.
    name
        The photograph's name in the job.

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    Refusal
        Not there, not to be read, or empty.
    """
    try:
        content = path.read_bytes()
    except FileNotFoundError:
        there = sorted(item.name for item in path.parent.iterdir()) if path.parent.is_dir() else []
        near = get_close_matches(path.name, there, n=1)
        hint = f" Did you mean {near[0]}?" if near else ""
        raise Refusal(
            f"photograph {name}",
            "no such file",
            f"{path.name} in the folder {path.parent.name}",
            f"Put it there, or mend the file's name.{hint}",
            path.name,
        ) from None
    except OSError as error:
        raise Refusal(
            f"photograph {name}",
            f"a file that cannot be read ({error.strerror})",
            _WANTED,
            "Check the file's permissions and that it is no folder.",
            path.name,
        ) from None
    if not content:
        raise Refusal(
            f"photograph {name}", "an empty file", _WANTED, "Copy or send it again; nothing arrived.", path.name
        )
    return content


def opened_photograph(path: Path, content: bytes, name: str) -> Image.Image:
    """Open a photograph, its pixels still packed.

    Parameters
    ----------
    path
        Its file's name.
    content
        The file's bytes.
    name
        Its name in the job.

    Returns
    -------
    Image
        As stored: JPEG, PNG or HEIC, of a size that is taken.

    Raises
    ------
    Refusal
        Not a photograph, cut short, too small, or too large to be one.
    """
    formats = ["JPEG", "PNG"]  # JPEG takes in the phones' several pictures in one file, which then read as MPO
    if content[4:8] == b"ftyp":
        import pi_heif  # only a HEIC pays for loading it

        pi_heif.register_heif_opener()
        formats.append("HEIF")
    try:
        picture = Image.open(io.BytesIO(content), formats=formats)
    except Image.DecompressionBombError:
        raise _too_large(path, name, "more pixels than can be taken") from None
    except UnidentifiedImageError:
        if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
            raise cut_short(path, name) from None
        raise _not_a_photograph(path, name, content) from None
    except DECODING as error:
        raise cut_short(path, name) from error
    width, height = picture.size
    if width * height > MOST_PX:
        raise _too_large(path, name, f"{width} x {height} px")
    if max(width, height) < LEAST_LONG_SIDE_PX:
        raise Refusal(
            f"photograph {name}",
            f"{width} x {height} px",
            f"at least {LEAST_LONG_SIDE_PX} px along its long side",
            "This is a thumbnail; ask for the photograph itself, sent as a file.",
            path.name,
        )
    return picture


def upright_size(path: Path) -> tuple[int, int]:
    """Read how large a photograph is, upright; its pixels stay packed.

    Parameters
    ----------
    path
        The file.

    Returns
    -------
    tuple of int and int
        Width and height. [px]

    Raises
    ------
    Refusal
        Not there, not a photograph, too small, or too large to be one.
    """
    with quiet():
        picture = opened_photograph(path, content_of(path, path.stem), path.stem)
        try:
            lying = picture.format != "HEIF" and int(picture.getexif().get(ORIENTATION) or 1) in _LYING
        except DECODING as error:
            raise cut_short(path, path.stem) from error
    return (picture.height, picture.width) if lying else picture.size


def check_photograph(content: bytes, file: str) -> str:
    """Look whether something is a whole photograph, without keeping its pixels.

    Parameters
    ----------
    content
        The file's bytes.
    file
        Its name.

    Returns
    -------
    str
        What it is: ``jpeg``, ``png`` or ``heic``.

    Raises
    ------
    Refusal
        Not a photograph, cut short, too small, or too large to be one. The count of pixels is held against the most
        before any is unpacked.
    """
    path = Path(file)
    with quiet():
        if not content:
            raise Refusal(f"photograph {path.stem}", "an empty file", _WANTED, "Send it again; nothing arrived.", file)
        picture = opened_photograph(path, content, path.stem)
        kind = "heic" if picture.format == "HEIF" else "png" if picture.format == "PNG" else "jpeg"
        try:
            picture.draft("L", (picture.width // 8, picture.height // 8))
            picture.load()
        except DECODING as error:
            raise cut_short(path, path.stem) from error
    return kind


def cut_short(path: Path, name: str) -> Refusal:
    """Refuse what ended or broke while it was unpacked.

    Parameters
    ----------
    path
        Its file's name.
    name
        Its name in the job.

    Returns
    -------
    Refusal
        To be raised.
    """
    return Refusal(
        f"photograph {name}",
        "a picture that is cut short or damaged",
        "a whole file",
        "It did not arrive complete; copy it again, or ask the owner to send it again as a file.",
        path.name,
    )


def _not_a_photograph(path: Path, name: str, content: bytes) -> Refusal:
    got = next((kind for start, kind in _KNOWN_TYPES if content.startswith(start)), "a file of another kind")
    if content[4:8] == b"ftyp":
        got = "a film or another kind of picture"
    elif got == "a file of another kind" and _is_text(content[:4000]):
        got = "a text file"
    remedy = "Look at what was sent; ask for the photograph itself, as the phone saved it."
    return Refusal(f"photograph {name}", got, _WANTED, remedy, path.name)


def _is_text(start: bytes) -> bool:
    try:
        start.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return b"\0" not in start


def _too_large(path: Path, name: str, got: str) -> Refusal:
    return Refusal(
        f"photograph {name}",
        got,
        f"at most {MOST_PX // 1_000_000} million pixels",
        "No phone's single photograph is that large; ask for the photograph as the phone saved it.",
        path.name,
    )
