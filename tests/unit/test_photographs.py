"""Small pictures made on the spot: each file is read upright with its lens, or refused in full sentences."""

from __future__ import annotations

import hashlib
import io
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from trialfit.errors import Refusal
from trialfit.store.photographs import read_colour, read_photograph, read_photographs
from trialfit.survey.photograph import Photograph
from trialfit.survey.same_picture import same_picture_twice

SIZE = (1200, 900)
ORIENTATION, MAKE, MODEL, EXIF_IFD = 274, 271, 272, 0x8769
FOCAL_35MM, ZOOM, EXIF_WIDTH, EXIF_HEIGHT = 41989, 41988, 40962, 40963


def _scene(size: tuple[int, int] = SIZE) -> Image.Image:
    """Light falling off to the right and down, with a bright patch at the upper left."""
    width, height = size
    x, y = np.meshgrid(np.arange(width) / width, np.arange(height) / height)
    grey = 200 - 90 * x - 60 * y
    grey[: height // 5, : width // 5] = 250
    return Image.fromarray(np.stack([grey, grey, grey], axis=-1).astype(np.uint8))


def _exif(orientation: int = 1, **shot: Any) -> Image.Exif:
    names = {"focal": FOCAL_35MM, "zoom": ZOOM, "width": EXIF_WIDTH, "height": EXIF_HEIGHT}
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE], exif[MODEL] = orientation, "Invented", "Phone A"
    exif.get_ifd(EXIF_IFD).update({names[name]: value for name, value in shot.items()})
    return exif


def _saved(path: Path, picture: Image.Image, exif: Image.Exif | bytes | None = None, **how: Any) -> Path:
    if exif is not None:
        how["exif"] = exif
    picture.save(path, **how)
    return path


# What a camera held the other way stores, by Exif orientation: CIPA DC-008, tag Orientation, as Pillow's operations
# that undo what the flag's wording says (6: row 0 is the right-hand side, so the stored picture was turned left).
STORED = {
    1: [],
    2: [Image.Transpose.FLIP_LEFT_RIGHT],
    3: [Image.Transpose.ROTATE_180],
    4: [Image.Transpose.FLIP_TOP_BOTTOM],
    5: [Image.Transpose.TRANSPOSE],
    6: [Image.Transpose.ROTATE_90],
    7: [Image.Transpose.TRANSVERSE],
    8: [Image.Transpose.ROTATE_270],
}


@pytest.mark.parametrize("orientation", STORED)
def test_whatever_the_orientation_flag_the_picture_is_upright(tmp_path: Path, orientation: int) -> None:
    stored = _scene()
    for turn in STORED[orientation]:
        stored = stored.transpose(turn)
    path = _saved(tmp_path / "a.jpg", stored, _exif(orientation), quality=95)
    photograph = read_photograph(path)
    assert (photograph.width_px, photograph.height_px) == SIZE
    assert photograph.grey.shape == (900, 1200)
    off = photograph.grey.astype(int) - np.asarray(_scene().convert("L")).astype(int)
    assert np.abs(off).mean() < 1.0  # JPEG's own loss
    assert np.abs(read_colour(path)[..., 1].astype(int) - photograph.grey).mean() < 1.0
    assert photograph.quarter_turns == {6: 1, 3: 2, 8: 3}.get(orientation, 0)  # clockwise, as the flag's wording says


@pytest.mark.parametrize("ending", ["png", "heic"])
def test_png_and_heic_give_the_same_picture_and_lens(tmp_path: Path, ending: str) -> None:
    if ending == "heic":
        pillow_heif = pytest.importorskip("pillow_heif")
        pillow_heif.register_heif_opener()
    path = _saved(tmp_path / f"a.{ending}", _scene(), _exif(focal=26), quality=95)
    photograph = read_photograph(path, "front")
    assert (photograph.name, photograph.file, photograph.phone) == ("front", f"a.{ending}", "Invented Phone A")
    assert np.abs(photograph.grey.astype(int) - np.asarray(_scene().convert("L")).astype(int)).mean() < 1.5
    # 26 mm over a diagonal of sqrt(36^2 + 24^2) = 43.2666 mm, times sqrt(1200^2 + 900^2) = 1500 px: 901.39 px
    assert photograph.focal_px == pytest.approx(901.39, abs=0.005)


def test_a_heic_on_its_side_is_turned_once(tmp_path: Path) -> None:
    pillow_heif = pytest.importorskip("pillow_heif")
    pillow_heif.register_heif_opener()
    # Phones write the turn twice: as HEIC's own irot, which counts, and as the Exif flag, which then must not.
    stored = _scene().transpose(Image.Transpose.ROTATE_90)
    path = _saved(tmp_path / "a.heic", stored, _exif(6).tobytes(), quality=95)
    assert b"irot" in path.read_bytes()
    photograph = read_photograph(path)
    assert (photograph.width_px, photograph.height_px) == SIZE
    assert photograph.grey[50, 50] > 240  # the bright patch is at the upper left again
    assert photograph.quarter_turns == 1


def test_sixteen_bit_png_keeps_its_upper_byte(tmp_path: Path) -> None:
    # 0x8040 / 256 = 0x80 = 128
    path = _saved(tmp_path / "a.png", Image.fromarray(np.full((900, 1200), 0x8040, dtype=np.uint16)))
    assert read_photograph(path).grey[0, 0] == 128


def test_the_original_is_untouched_and_its_digest_kept(tmp_path: Path) -> None:
    path = _saved(tmp_path / "a.jpg", _scene())
    before = path.read_bytes()
    photograph = read_photograph(path)
    assert path.read_bytes() == before
    assert photograph.digest == hashlib.sha256(before).hexdigest()
    with pytest.raises(ValueError, match="read-only"):
        photograph.grey[0, 0] = 1


@pytest.mark.parametrize(
    ("shot", "focal_px", "k2_px", "note"),
    [
        (
            {"focal": 26},
            901.39,
            72.11,  # 8 %
            "From the file: 26 mm on 35 mm film, by the diagonal (± 8 %, assumed).",
        ),
        (
            # Midway between 52 mm and 2 x 52 mm: 52 sqrt 2 = 73.54 mm, 2549.5 px; half a band of 41 % and 8 %.
            {"focal": 52, "zoom": 2},
            2549.5,
            1260.0,
            "From the file: 52 mm on 35 mm film, by the diagonal; 2 times digital zoom, which that figure may or "
            "may not count (± 49 %, assumed).",
        ),
        (
            {},
            None,
            None,
            "Focal length unknown: the file does not say. It is left open and found from the card and the marks.",
        ),
        (
            {"focal": 26, "width": 4000, "height": 2250},
            None,
            None,
            "Focal length unknown: the picture was cropped. It is left open and found from the card and the marks.",
        ),
        (
            # As the camera wrote it down, on its side.
            {"focal": 26, "width": 900, "height": 1200},
            901.39,
            72.11,
            "From the file: 26 mm on 35 mm film, by the diagonal (± 8 %, assumed).",
        ),
    ],
)
def test_focal_length_by_what_the_file_says(
    tmp_path: Path, shot: dict[str, Any], focal_px: float | None, k2_px: float | None, note: str
) -> None:
    photograph = read_photograph(_saved(tmp_path / "a.jpg", _scene(), _exif(**shot)))
    assert photograph.focal_px == (None if focal_px is None else pytest.approx(focal_px, abs=0.05))
    assert photograph.focal_k2_px == (None if k2_px is None else pytest.approx(k2_px, rel=1e-3))
    assert photograph.focal_note == note
    assert photograph.zoom == shot.get("zoom", 1.0)


@pytest.mark.parametrize(
    ("size", "exif", "remark"),
    [
        (
            SIZE,
            None,
            "The file (1200 x 900 px) says nothing of the camera: a screenshot, or a copy that a messenger shrank. Ask "
            "for the original, sent as a file.",
        ),
        (
            (3000, 1000),
            _exif(focal=26),
            "It is 3000 x 1000 px: a panorama is put together from several shots, which no one lens fits. Ask for "
            "single photographs instead.",
        ),
        (
            SIZE,
            _exif(focal=26, width=4000, height=2250),
            "The camera wrote 4000 x 2250 px, the file has 1200 x 900: it was cropped, and the lens's axis is no "
            "longer in the middle. Ask for the uncropped original.",
        ),
        (
            SIZE,
            _exif(focal=52, zoom=2),
            "Taken with 2 times digital zoom: its lens is not that of the phone's other photographs.",
        ),
    ],
)
def test_photographs_that_are_not_as_the_phone_took_them_say_so(
    tmp_path: Path, size: tuple[int, int], exif: Image.Exif | None, remark: str
) -> None:
    assert read_photograph(_saved(tmp_path / "a.jpg", _scene(size), exif)).remarks == (remark,)


def _jpeg(folder: Path) -> bytes:
    return _saved(folder / "whole.jpg", _scene()).read_bytes()


def _refused(folder: Path, content: bytes, file: str = "view.jpg") -> str:
    (folder / file).write_bytes(content)
    with pytest.raises(Refusal) as refused:
        read_photograph(folder / file, "front")
    return str(refused.value)


def test_a_text_file_named_jpg_is_refused(tmp_path: Path) -> None:
    assert _refused(tmp_path, b"Dear workshop, the photographs follow.\n") == (
        "view.jpg: photograph front: got a text file, wanted a JPEG, PNG or HEIC photograph. Look at what was sent; "
        "ask for the photograph itself, as the phone saved it."
    )


@pytest.mark.parametrize(
    ("content", "got"),
    [
        (b"GIF89a" + bytes(50), "a GIF picture"),
        (b"%PDF-1.7\n", "a PDF"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "a WebP picture or other RIFF file"),
        (b"\0\0\0\x18ftypmp42" + bytes(50), "a film or another kind of picture"),
        (bytes(range(128, 256)), "a file of another kind"),
        (b"", "an empty file"),
    ],
)
def test_other_files_are_named_for_what_they_are(tmp_path: Path, content: bytes, got: str) -> None:
    assert f"got {got}, wanted a JPEG, PNG or HEIC photograph" in _refused(tmp_path, content)


@cache
def _whole(ending: str) -> bytes:
    if ending == "heic":
        pytest.importorskip("pillow_heif").register_heif_opener()
    picture = _scene() if ending == "heic" else Image.effect_noise(SIZE, 60.0)
    written = io.BytesIO()
    picture.save(written, {"jpg": "JPEG", "heic": "HEIF", "png": "PNG"}[ending])
    return written.getvalue()


@pytest.mark.parametrize("share", [0.02, 0.5, 0.98])
@pytest.mark.parametrize("ending", ["jpg", "png", "heic"])
def test_a_truncated_picture_is_refused(tmp_path: Path, share: float, ending: str) -> None:
    whole = _whole(ending)
    assert _refused(tmp_path, whole[: int(share * len(whole))], f"view.{ending}") == (
        f"view.{ending}: photograph front: got a picture that is cut short or damaged, wanted a whole file. It did not "
        "arrive complete; copy it again, or ask the owner to send it again as a file."
    )


def test_a_decompression_bomb_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    for side, got in ((11000, "11000 x 11000 px"), (20000, "more pixels than can be taken")):
        path = _saved(tmp_path / "bomb.png", Image.new("1", (side, side)))
        assert path.stat().st_size < 1_000_000
        with pytest.raises(Refusal) as refused:
            read_photograph(path)
        assert str(refused.value) == (
            f"bomb.png: photograph bomb: got {got}, wanted at most 100 million pixels. No phone's single photograph is "
            "that large; ask for the photograph as the phone saved it."
        )


def test_a_thumbnail_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refusal) as refused:
        read_photograph(_saved(tmp_path / "a.jpg", _scene((320, 240))))
    assert str(refused.value) == (
        "a.jpg: photograph a: got 320 x 240 px, wanted at least 1000 px along its long side. This is a thumbnail; ask "
        "for the photograph itself, sent as a file."
    )


def test_all_the_faults_of_several_files_come_at_once_with_the_nearest_name(tmp_path: Path) -> None:
    (tmp_path / "good.jpg").write_bytes(_jpeg(tmp_path))
    (tmp_path / "note.jpg").write_text("not a picture")
    told: list[str] = []
    names = {"front": "good.jpg", "left": "note.jpg", "right": "goood.jpg"}
    with pytest.raises(Refusal) as refused:
        read_photographs({name: tmp_path / file for name, file in names.items()}, on_each=told.append)
    assert [(fault.file, fault.what, fault.got) for fault in refused.value.faults] == [
        ("note.jpg", "photograph left", "a text file"),
        ("goood.jpg", "photograph right", "no such file"),
    ]
    assert refused.value.faults[1].remedy == "Put it there, or mend the file's name. Did you mean good.jpg?"
    assert sorted(told) == ["front", "left", "right"]


def test_several_photographs_come_in_the_order_of_the_job(tmp_path: Path) -> None:
    paths = {f"p{i}": _saved(tmp_path / f"{i}.jpg", _scene((1200 + i, 900))) for i in range(5)}
    assert [(each.name, each.width_px) for each in read_photographs(paths, threads=3)] == [
        (f"p{i}", 1200 + i) for i in range(5)
    ]


def test_the_same_picture_twice_is_named_however_it_came(tmp_path: Path) -> None:
    grain = np.random.default_rng(2).integers(0, 256, (90, 120), dtype=np.uint8)
    scene = Image.fromarray(grain).resize((2400, 1800), Image.Resampling.BICUBIC)
    moved = scene.transform((2400, 1800), Image.Transform.AFFINE, (1, 0, 60, 0, 1, 30))
    first = read_photograph(_saved(tmp_path / "first.jpg", scene, quality=95))
    again = replace(first, name="again")
    stamped = replace(first, name="stamped", digest="of a file with another date in it")
    shrunk = read_photograph(_saved(tmp_path / "shrunk.jpg", scene.resize((1600, 1200)), quality=60))
    other = read_photograph(_saved(tmp_path / "other.jpg", moved, quality=95))
    cropped = replace(other, name="cropped", width_px=2400, height_px=1350, digest="another")

    photographs: list[Photograph] = [first, other, again, stamped, shrunk, cropped]
    assert [(pair.first, pair.second, pair.how) for pair in same_picture_twice(photographs)] == [
        ("first", "again", "the same file"),
        ("first", "stamped", "the same pixels"),
        ("first", "shrunk", "the same shot, saved again"),
    ]
    assert str(same_picture_twice([first, again])[0]) == (
        "first and again are the same file; the second adds nothing and counts its errors twice."
    )
