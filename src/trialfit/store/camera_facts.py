"""What a photograph's file says of the camera, and how far to trust it.

Source: CIPA DC-008 (Exif) for the tags. The plus-or-minus figures are common practice, no source: the 35 mm equivalent
is rounded to whole millimetres and phones' own lenses differ, 8 % at k = 2 together; makers differ in whether the
figure follows a crop to another format, or digital zoom.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import SupportsFloat

from PIL import Image

from trialfit.survey.photograph import focal_of_equivalent

_EXIF_IFD = 0x8769
_MAKE, _MODEL = 271, 272
_FOCAL_35MM, _ZOOM, _WIDTH, _HEIGHT = 41989, 41988, 40962, 40963

_K2_SHARE = 0.08
_K2_SHARE_OTHER_FORMAT = 0.20  # a 16:9 crop of a 4:3 frame has a diagonal 8 % shorter; squarer or longer ones more
_FULL_FRAMES = (4 / 3, 3 / 2)


@dataclass(frozen=True)
class CameraFacts:
    """What the file says.

    Parameters
    ----------
    focal_px, focal_k2_px
        Focal length and two standard deviations of it, or None. [px]
    note
        Where it comes from, or why there is none.
    zoom
        Digital zoom; 1 where none is stated. [-]
    phone
        Maker and model, or empty.
    remarks
        What a person should know, a sentence each.
    """

    focal_px: float | None
    focal_k2_px: float | None
    note: str
    zoom: float
    phone: str
    remarks: tuple[str, ...]


def camera_facts(exif: Image.Exif, width_px: int, height_px: int) -> CameraFacts:
    """Read what the file says of the camera.

    Parameters
    ----------
    exif
        The file's Exif block, empty if it has none.
    width_px, height_px
        Size of the upright picture. [px]

    Returns
    -------
    CameraFacts
        Focal length with its plus-or-minus, zoom, phone.
    """
    shot = exif.get_ifd(_EXIF_IFD)
    zoom = max(_number(shot.get(_ZOOM)), 1.0)
    equivalent_mm = _number(shot.get(_FOCAL_35MM))
    phone = " ".join(str(exif.get(tag, "")).strip("\0 ") for tag in (_MAKE, _MODEL)).strip()
    crop = _crop(_number(shot.get(_WIDTH)), _number(shot.get(_HEIGHT)), width_px, height_px)
    remarks = [crop] if crop else []
    if not shot and not phone:
        remarks.append(
            f"The file ({width_px} x {height_px} px) says nothing of the camera: a screenshot, or a copy that a "
            "messenger shrank. Ask for the original, sent as a file."
        )
    if zoom > 1.0:
        remarks.append(
            f"Taken with {zoom:g} times digital zoom: its lens is not that of the phone's other photographs."
        )
    if equivalent_mm <= 0.0 or crop:
        why = "the picture was cropped" if crop else "the file does not say"
        note = f"Focal length unknown: {why}. It is left open and found from the card and the marks."
        return CameraFacts(None, None, note, zoom, phone, tuple(remarks))
    focal = focal_of_equivalent(equivalent_mm, width_px, height_px)
    aspect = max(width_px, height_px) / min(width_px, height_px)
    share = _K2_SHARE if any(abs(aspect / full - 1.0) < 0.02 for full in _FULL_FRAMES) else _K2_SHARE_OTHER_FORMAT
    note = f"From the file: {equivalent_mm:g} mm on 35 mm film, by the diagonal"
    if zoom > 1.0:
        # Some makers count the zoom in the 35 mm figure and some do not: stand midway and reach both.
        focal *= sqrt(zoom)
        share += sqrt(zoom) - 1.0
        note += f"; {zoom:g} times digital zoom, which that figure may or may not count"
    elif share > _K2_SHARE:
        note += "; not the format of the whole frame, which that figure may or may not follow"
    return CameraFacts(focal, focal * share, f"{note} (± {100 * share:.0f} %, assumed).", zoom, phone, tuple(remarks))


def _crop(stated_width: float, stated_height: float, width_px: int, height_px: int) -> str:
    """Say so when the picture's shape is not the one the camera wrote down."""
    if not stated_width or not stated_height:
        return ""
    stated = max(stated_width, stated_height) / min(stated_width, stated_height)
    now = max(width_px, height_px) / min(width_px, height_px)
    if abs(stated / now - 1.0) < 0.01:
        return ""
    return (
        f"The camera wrote {stated_width:.0f} x {stated_height:.0f} px, the file has {width_px} x {height_px}: it was "
        "cropped, and the lens's axis is no longer in the middle. Ask for the uncropped original."
    )


def _number(value: object) -> float:
    """An Exif value may be anything; what is no sensible number counts as not stated."""
    try:
        number = float(value) if isinstance(value, str | SupportsFloat) else 0.0
    except (ValueError, ZeroDivisionError):
        return 0.0
    return number if 0.0 < number < 1e6 else 0.0
