"""Sheets: the letter word for word as written by hand, its sketch against hand geometry, its card at true scale."""

from __future__ import annotations

import io
from dataclasses import replace
from math import cos, hypot, radians, sin

import cv2
import numpy as np
import pdfplumber
import pypdfium2
import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from trialfit.job.records import Job
from trialfit.sheets.drawing import Drawing, Point, Polyline, Text, extent
from trialfit.sheets.heading import Paper
from trialfit.sheets.letter import letter
from trialfit.sheets.letter_words import from_catalogue
from trialfit.sheets.stand_sketch import height_view, plan_view
from trialfit.sheets.words import Words
from trialfit.survey.ask_words import CALIPER, RULE, Tool, photograph_words, reading_words
from trialfit.survey.asks import Ask, Asked, Change, Kind, Scenery, Stand, Stood
from trialfit.survey.first_asks import first_asks
from trialfit.survey.standing import Bearing

ASKED_AT = Bearing(-40.0, 25.0, 300.0)
PHOTOGRAPH = Ask(
    Kind.PHOTOGRAPH,
    "One more photograph from the left, about 40 degrees round, about 30 cm (12 in) away, with the card in view.",
    "the length of the new pipe hangs on it",
    0.4,
    (Change("pipe feed", "cut length", "mm", 0.9, 0.6, 0.5, True),),
    ("clack.face",),
    3.0,
    "px",
    Stand(ASKED_AT, (0.0, 0.0, 0.0), True, 0.3, ("clack.face",), ()),
)
READING = Ask(
    Kind.READING,
    "Measure from the middle of the clack's lower face to union.face, with a steel rule.",
    "it says where the far end of the new pipe has to come",
    0.2,
    (),
    ("clack.face", "union.face"),
    0.6,
    "mm",
)
CARD = ((-70.0, 150.0, -60.0), (70.0, 150.0, -60.0), (70.0, 50.0, -60.0), (-70.0, 50.0, -60.0))
SCENERY = Scenery(
    ((-40.0, 0.0, 20.0), (40.0, 0.0, -20.0)),
    CARD,
    (Stood("left", Bearing(-60.0, 20.0, 320.0)), Stood("above", Bearing(10.0, 50.0, 280.0))),
)
ASKED = Asked(
    marks=(),
    readings=(READING,),
    photographs=(PHOTOGRAPH,),
    letter=(PHOTOGRAPH, READING),
    together=(Change("pipe feed", "cut length", "mm", 0.9, 0.5, 0.5, True),),
    away=(),
    scenery=SCENERY,
)


def text_of(content: bytes, page: int = 0) -> str:
    """The words of a page, without where its lines break."""
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return " ".join((pdf.pages[page].extract_text() or "").split())


def test_no_length_is_called_surer_than_it_is(job: Job) -> None:
    """0.648 and 0.512 mm to the tenth above: 0.7 and 0.6."""
    together = (Change("pipe feed", "cut length", "mm", 0.648, 0.512, 0.5, True),)
    assert "to 0.7 mm either way; with all of it, to 0.6 mm." in text_of(letter(job, replace(ASKED, together=together)))


def test_the_letter_says_this_and_nothing_else(job: Job) -> None:
    words = text_of(letter(job, ASKED))
    before, after = words.split("From above: you stand at the foot of this page", 1)
    assert before.strip() == (
        "LETTER TO THE OWNER revision 2 What we still need of Heron given 14 March 2026 job heron-feed page 1 of 2 "
        "Dear B. Larkfield, "
        "Your photographs and readings tell us where most things sit. What follows would make us surer, and is all we "
        "ask. As it stands we know the length of the new pipe to 0.9 mm either way; with all of it, to 0.5 mm. Leave "
        "out what you cannot see or reach, and say so. "
        "Photographs "
        "A One more photograph from the left, about 40 degrees round, about 30 cm (12 in) away, with the card in view. "
        "The length of the new pipe hangs on it. "
        "Measurements "
        "1 Measure from the middle of the clack's lower face to union.face, with a steel rule. It says where the far "
        "end of the new pipe has to come."
    )
    assert after[after.index("Black, A") :] == (
        "Black, A: where to stand for what we ask for. White: your photographs so far (1 left.jpg, 2 above.jpg). "
        "– Move nothing on the engine. Main lens, no zoom, phone held sideways, everything sharp. Send the pictures "
        "as the phone stored them, by mail or as files: a messenger shrinks them. "
        "– The card: if it still lies exactly where it lay in your first photographs, leave it there. If it has been "
        "moved, take it right away: in a new place it would mislead us. "
        "– Write down each reading as you took it, in mm or inches, and what you measured with. Take it twice. "
        "– The card behind this letter is a spare, for the day we have to begin again: do not use it with these. "
        "CAUTIONS "
        "! Only with the engine cold: fire out, no steam, the gauge at nought, water valves shut. Loosen and remove "
        "nothing to get at a measurement, and keep fingers, rule and lamp off anything that is still warm. "
        "With thanks, the workshop "
        "Distances in the sketch are from the middle of the engine's fittings."
    )


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_one_page_and_the_card_behind_it(job: Job, paper: Paper) -> None:
    long = "the very long description of a face that somebody wrote down to be quite sure which one was meant, " * 3
    many = tuple(replace(READING, do=f"Measure {k}: {long}") for k in range(3))
    pictures = tuple(
        replace(PHOTOGRAPH, do=f"One more photograph, with a lamp on {long}", stand=replace_at(angle))
        for angle in (-40.0, 40.0)
    )
    content = letter(job, replace(ASKED, letter=(*pictures, *many)), paper=paper)
    reader = PdfReader(io.BytesIO(content))
    assert len(reader.pages) == 2
    assert "Scale card A6" in text_of(content, 1)
    preferences = reader.root_object["/ViewerPreferences"]
    assert isinstance(preferences, DictionaryObject)
    assert str(preferences["/PrintScaling"]) == "/None"
    assert content == letter(job, replace(ASKED, letter=(*pictures, *many)), paper=paper)
    # Whatever it takes to get it onto one page, no letter is smaller than 10 pt.
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        assert min(char["size"] for char in pdf.pages[0].chars) >= 9.99


def replace_at(azimuth_deg: float) -> Stand:
    """The place asked for, further round."""
    assert PHOTOGRAPH.stand is not None
    return replace(PHOTOGRAPH.stand, bearing=replace(ASKED_AT, azimuth_deg=azimuth_deg))


@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (297.0, 210.0)), ("us-letter", (279.4, 215.9))])
def test_the_card_is_at_true_scale(job: Job, paper: Paper, size_mm: tuple[float, float]) -> None:
    """Found by OpenCV's own detector in the page at 600 dots an inch; squares of 16 mm, as the job says of its card."""
    page = pypdfium2.PdfDocument(letter(job, ASKED, paper=paper))[1]
    dots = np.asarray(page.render(scale=600 / 72, grayscale=True).to_pil().convert("L"))
    assert (page.get_width() * 25.4 / 72, page.get_height() * 25.4 / 72) == pytest.approx(size_mm, abs=0.02)
    board = cv2.aruco.CharucoBoard((8, 5), 16.0, 12.0, cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50))
    corners, ids, _, _ = cv2.aruco.CharucoDetector(board).detectBoard(dots)
    assert ids is not None and len(ids) == 28
    per_mm = np.array(dots.shape[::-1]) / np.array(size_mm)
    found = np.asarray(corners).reshape(-1, 2) / per_mm
    meant = np.asarray(board.getChessboardCorners())[np.asarray(ids).ravel(), :2]
    off = (found - found.mean(axis=0)) - (meant - meant.mean(axis=0))
    print(f"worst corner {np.hypot(*off.T).max():.3f} mm")
    assert np.hypot(*off.T).max() < 0.05


def wedges(drawing: Drawing, fill: str) -> list[Point]:
    """Where the eyes are: a camera's wedge has its tip there."""
    return [
        each.points[0]
        for each in drawing.items
        if isinstance(each, Polyline) and each.fill == fill and len(each.points) == 3 and each.pen is not None
    ]


def test_the_sketch_from_above_keeps_angles_and_distances() -> None:
    drawing = plan_view(SCENERY, (PHOTOGRAPH,), 100.0, 80.0)
    (asked,) = wedges(drawing, "black")
    by_place = sorted(wedges(drawing, "white"))
    left, above = by_place[0], by_place[1]

    def level(bearing: Bearing) -> Point:
        reach = bearing.distance_mm * cos(radians(bearing.height_deg))
        turn = radians(bearing.azimuth_deg)
        return reach * sin(turn), -reach * cos(turn)

    # Three eyes, three distances between them: all in one proportion, and the left one is on the left.
    meant = [level(ASKED_AT), level(SCENERY.stood[0].bearing), level(SCENERY.stood[1].bearing)]
    drawn = [asked, left, above]
    ratios = [
        hypot(drawn[a][0] - drawn[b][0], drawn[a][1] - drawn[b][1])
        / hypot(meant[a][0] - meant[b][0], meant[a][1] - meant[b][1])
        for a, b in ((0, 1), (1, 2), (0, 2))
    ]
    assert ratios == pytest.approx([ratios[0]] * 3)
    assert left[0] < asked[0] < above[0]
    # The card, 140 x 100 mm, in the same proportion.
    card = next(each for each in drawing.items if isinstance(each, Polyline) and len(each.points) == 4 and each.pen)
    assert extent([card])[2] - extent([card])[0] == pytest.approx(140.0 * ratios[0])
    inside(drawing)


def test_the_sketch_from_the_side_keeps_heights() -> None:
    drawing = height_view(SCENERY, (PHOTOGRAPH,), 80.0, 80.0)
    (asked,) = wedges(drawing, "black")
    # Heights above the middle: 300 sin 25 = 126.8; 320 sin 20 = 109.4; 280 sin 50 = 214.5. Level: 271.9, 300.7, 180.0.
    white = sorted(wedges(drawing, "white"), key=lambda at: at[1])
    low, high = white
    scale = (high[1] - low[1]) / (214.492 - 109.446)
    assert asked[1] - low[1] == pytest.approx((126.785 - 109.446) * scale, rel=1e-3)
    assert low[0] - high[0] == pytest.approx((300.702 - 179.981) * scale, rel=1e-3)
    inside(drawing)


def inside(drawing: Drawing) -> None:
    """Nothing is drawn off the paper, and no two names lie on each other."""
    left, low, right, high = extent(drawing.items)
    assert left >= -0.01 and low >= -0.01 and right <= drawing.width_mm + 0.01 and high <= drawing.height_mm + 0.01
    names = [each for each in drawing.items if isinstance(each, Text) and each.text in ("A", "1", "2")]
    assert len(names) == 3
    for k, one in enumerate(names):
        for other in names[:k]:
            a, b = extent([one]), extent([other])
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def test_the_first_letter_asks_for_what_every_job_begins_with(job: Job) -> None:
    content = letter(job, first_asks(job))
    words = text_of(content)
    assert len(PdfReader(io.BytesIO(content)).pages) == 2
    assert "Print the card behind this letter, lay it beside the engine, and please send us these:" in words
    assert "A A photograph from straight in front, a little above (about 20 degrees down), about 30 cm" in words
    assert "The size of everything hangs on how large your printer made the card." in words
    assert "spare" not in words


def test_where_nothing_helps_it_says_so(job: Job) -> None:
    words = text_of(letter(job, replace(ASKED, letter=())))
    assert "nothing more that we could ask you for would make the work much surer" in words
    assert "Photographs" not in words


def test_whatever_words_a_job_holds_are_printed_and_not_run(job: Job) -> None:
    words = '#pagebreak() *x* <b> [ ] $ a_b $ `c` @d // e #read("f")'
    record = job.model_dump(exclude_unset=True)
    record["job"] |= {"owner": words}
    odd = replace(ASKED, letter=(PHOTOGRAPH, replace(READING, do=f"Measure {words}.")))
    content = letter(Job.model_validate(record), odd)
    assert len(PdfReader(io.BytesIO(content)).pages) == 2
    assert text_of(content).count(words) == 2


@pytest.mark.parametrize("angle", [-75.0, -40.0, -20.0, 0.0, 20.0, 50.0, 120.0])
@pytest.mark.parametrize("height", [2.0, 10.0, 25.0, 45.0, 70.0])
def test_the_catalogue_asks_for_a_photograph_as_the_survey_does(job: Job, angle: float, height: float) -> None:
    """The survey's sentences were written apart from the owner's catalogue; both must say the same."""
    bearing, lit = Bearing(angle, height, 287.0), ("clack.face", "union.face")
    for with_card, lamps in ((True, ()), (False, lit)):
        stand = Stand(bearing, (0.0, 0.0, 0.0), with_card, 0.3, (), lamps)
        said = photograph_words(job, bearing, [("left.jpg", Bearing(0.0, 0.0, 900.0))], with_card, lamps)
        assert from_catalogue(job, replace(PHOTOGRAPH, stand=stand), Words("en")) == said


@pytest.mark.parametrize("tool", [RULE, CALIPER])
@pytest.mark.parametrize("again", [True, False])
def test_the_catalogue_asks_for_a_reading_as_the_survey_does(job: Job, tool: Tool, again: bool) -> None:
    said = reading_words(job, "clack.face", "union.face", tool, again)
    assert from_catalogue(job, replace(READING, do=said, k2=tool.k2_mm), Words("en")) == said


def test_the_letter_in_german(job: Job) -> None:
    """0.9 and 0.5 mm with the country's comma; 30 cm are 11.8 in, so 12."""
    german = job.model_copy(update={"job": job.job.model_copy(update={"language": "de"})})
    words = text_of(letter(german, ASKED))
    for line in (
        "BRIEF AN DEN BESITZER Ausgabe 2 Was wir von Heron noch brauchen vom 14. März 2026 Auftrag heron-feed",
        "Seite 1 von 2 Guten Tag B. Larkfield,",
        "Heute kennen wir die Länge des neuen Rohrs auf 0,9 mm genau, mit allem zusammen auf 0,5 mm.",
        "Bilder A Noch ein Bild von links, etwa 40 Grad herum, etwas von oben (etwa 25 Grad nach unten), aus etwa "
        "30 cm (12 Zoll), mit der Karte im Bild. Davon hängt die Länge des neuen Rohrs ab.",
        "bis hier: union.face. Mit einem Stahlmaß",
        "Weiß: Ihre Bilder bis jetzt (1 left.jpg, 2 above.jpg).",
        "VORSICHT ! Nur an der kalten Maschine",
        "Vielen Dank, die Werkstatt",
    ):
        assert line in words
