"""Photograph files to records. Files are read and never written.

Pixels are those of the upright original whatever the file's orientation flag says. HEIC turns its own pixels upright.
"""

from __future__ import annotations

import hashlib
import io
import os
import struct
import warnings
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from difflib import get_close_matches
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from trialfit.errors import Fault, Refusal, Refusals
from trialfit.store.camera_facts import camera_facts
from trialfit.survey.photograph import Grey, Photograph

MOST_PX = 100_000_000
LEAST_LONG_SIDE_PX = 1000
PANORAMA = 2.5  # long side over short side; no phone's single shot is as long as this

_ORIENTATION = 274
_TURNS = {
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0),
    6: lambda a: a.transpose(1, 0)[:, ::-1],
    7: lambda a: a[::-1, ::-1].transpose(1, 0),
    8: lambda a: a.transpose(1, 0)[::-1],
}
"""Exif orientation: what turns the stored rows upright (CIPA DC-008, tag Orientation)."""

_QUARTER_TURNS = {6: 1, 3: 2, 8: 3}

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


def read_photograph(path: Path, name: str = "") -> Photograph:
    """Read one photograph.

    Parameters
    ----------
    path
        The file.
    name
        Its name in the job; the file's name without its ending if empty.

    Returns
    -------
    Photograph
        Upright grey values and what the file says of its lens.

    Raises
    ------
    Refusal
        Not there, not a photograph, cut short, too small, or too large to be one.
    """
    with _quiet():
        return _read(path, name or path.stem)


def read_photographs(
    paths: Mapping[str, Path], threads: int | None = None, on_each: Callable[[str], None] | None = None
) -> tuple[Photograph, ...]:
    """Read several photographs at once.

    Parameters
    ----------
    paths
        The files by the photographs' names in the job.
    threads
        How many to read at a time; None takes one a processor. [-]
    on_each
        Told the name of each photograph when it has been read, for a progress bar.

    Returns
    -------
    tuple of Photograph
        In the order of `paths`.

    Raises
    ------
    Refusals
        All the photographs that could not be read, at once.
    """
    faults: list[Fault] = []

    def one(name: str) -> Photograph | tuple[Fault, ...]:
        try:
            return _read(paths[name], name)
        except Refusal as refusal:
            return tuple(refusal.faults)
        finally:
            if on_each is not None:
                on_each(name)

    read: list[Photograph] = []
    with _quiet(), ThreadPoolExecutor(max_workers=threads or os.cpu_count()) as pool:
        for outcome in pool.map(one, paths):
            if isinstance(outcome, Photograph):
                read.append(outcome)
            else:
                faults.extend(outcome)
    if faults:
        raise Refusals(faults)
    return tuple(read)


def read_colour(path: Path) -> NDArray[np.uint8]:
    """Read a photograph in colour, for drawing on.

    Parameters
    ----------
    path
        The file.

    Returns
    -------
    ndarray
        (height, width, 3) red, green, blue of the upright original. [-]

    Raises
    ------
    Refusal
        As `read_photograph`.
    """
    with _quiet():
        picture = _opened(path, _bytes(path, path.stem), path.stem)
        try:
            return np.asarray(ImageOps.exif_transpose(picture).convert("RGB"))
        except _DECODING as error:
            raise _cut_short(path, path.stem) from error


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
        As `read_photograph`. The count of pixels is held against the most before any is unpacked.
    """
    path = Path(file)
    with _quiet():
        if not content:
            raise Refusal(f"photograph {path.stem}", "an empty file", _WANTED, "Send it again; nothing arrived.", file)
        picture = _opened(path, content, path.stem)
        kind = "heic" if picture.format == "HEIF" else "png" if picture.format == "PNG" else "jpeg"
        try:
            picture.draft("L", (picture.width // 8, picture.height // 8))
            picture.load()
        except _DECODING as error:
            raise _cut_short(path, path.stem) from error
    return kind


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
        As `read_photograph`.
    """
    with _quiet():
        picture = _opened(path, _bytes(path, path.stem), path.stem)
        try:
            scale = min(1.0, long_side_px / max(picture.size))
            size = (max(1, round(picture.width * scale)), max(1, round(picture.height * scale)))
            picture.draft("RGB", size)
            whole = picture if picture.mode == "RGB" else picture.convert("RGB")
            # Hamming's window is as sharp as the bicubic one when a picture is made smaller, in half the time.
            small = whole.resize(size, Image.Resampling.HAMMING) if scale < 1 else whole
            if picture.format != "HEIF":
                small.getexif()[_ORIENTATION] = int(picture.getexif().get(_ORIENTATION) or 1)
                small = ImageOps.exif_transpose(small)
            written = io.BytesIO()
            small.save(written, "JPEG", quality=85, exif=b"")
        except _DECODING as error:
            raise _cut_short(path, path.stem) from error
    return written.getvalue()


_DECODING = (OSError, SyntaxError, ValueError, RuntimeError, EOFError, struct.error, Image.DecompressionBombError)


@contextmanager
def _quiet() -> Iterator[None]:
    """Pillow warns of large pictures below the size refused here."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", Image.DecompressionBombWarning)
        yield


def _read(path: Path, name: str) -> Photograph:
    content = _bytes(path, name)
    picture = _opened(path, content, name)
    try:
        exif = picture.getexif()
        grey = _grey(picture)
    except _DECODING as error:
        raise _cut_short(path, name) from error
    heic = picture.format == "HEIF"  # already upright; the plug-in keeps the flag it took out
    orientation = int((picture.info.get("original_orientation") if heic else exif.get(_ORIENTATION)) or 1)
    turn = None if heic else _TURNS.get(orientation)
    grey = np.ascontiguousarray(turn(grey) if turn else grey)
    grey.flags.writeable = False
    height, width = grey.shape
    facts = camera_facts(exif, width, height)
    remarks = list(facts.remarks)
    if max(width, height) > PANORAMA * min(width, height):
        remarks.append(
            f"It is {width} x {height} px: a panorama is put together from several shots, which no one lens fits. "
            "Ask for single photographs instead."
        )
    return Photograph(
        name=name,
        file=path.name,
        width_px=width,
        height_px=height,
        grey=grey,
        focal_px=facts.focal_px,
        focal_k2_px=facts.focal_k2_px,
        focal_note=facts.note,
        zoom=facts.zoom,
        phone=facts.phone,
        remarks=tuple(remarks),
        digest=hashlib.sha256(content).hexdigest(),
        quarter_turns=_QUARTER_TURNS.get(orientation, 0),
    )


def _bytes(path: Path, name: str) -> bytes:
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


def _opened(path: Path, content: bytes, name: str) -> Image.Image:
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
            raise _cut_short(path, name) from None
        raise _not_a_photograph(path, name, content) from None
    except _DECODING as error:
        raise _cut_short(path, name) from error
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


def _grey(picture: Image.Image) -> Grey:
    if picture.format in ("JPEG", "MPO"):
        picture.draft("L", picture.size)  # the luma alone, which the file holds anyway
    if picture.mode.startswith("I"):  # 16-bit PNG
        return (np.asarray(picture).astype(np.uint32) >> 8).astype(np.uint8)
    return np.asarray(picture.convert("L"), dtype=np.uint8)


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


def _cut_short(path: Path, name: str) -> Refusal:
    return Refusal(
        f"photograph {name}",
        "a picture that is cut short or damaged",
        "a whole file",
        "It did not arrive complete; copy it again, or ask the owner to send it again as a file.",
        path.name,
    )


def _too_large(path: Path, name: str, got: str) -> Refusal:
    return Refusal(
        f"photograph {name}",
        got,
        f"at most {MOST_PX // 1_000_000} million pixels",
        "No phone's single photograph is that large; ask for the photograph as the phone saved it.",
        path.name,
    )
