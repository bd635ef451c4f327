"""Unit: sums of the bench by hand; what makes no sense is refused in full."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from click.testing import CliRunner

from trialfit.cli.measure import command
from trialfit.errors import Refusal
from trialfit.parts.measuring import (
    Taken,
    across_corners_mm,
    cone_by_balls,
    cone_by_mouth,
    middle_shift_mm,
    pitch_by_counting,
    tube_by_weight,
)


def test_pitch_is_the_length_over_the_count_and_so_is_its_error() -> None:
    found = pitch_by_counting(10, Taken(6.35, 0.2))
    assert found.value == pytest.approx(0.635)
    assert found.k2 == pytest.approx(0.02)


def test_a_cone_by_its_mouth() -> None:
    # 8 mm at the mouth, 4 mm at 3.4641 mm deep: half angle atan(2/3.4641) = 30 deg.
    # The angle moves by 2 x 57.296 x cos2(30)/(2 x 3.4641) = 12.405 deg a millimetre of diameter, and by that times
    # 2 tan 30 = 14.324 deg a millimetre of depth. With 0.05, 0.05 and 0.1 mm: root of 0.6203^2 x 2 + 1.4324^2 = 1.6800.
    found = cone_by_mouth(Taken(8.0, 0.05), Taken(4.0, 0.05), Taken(3.46410, 0.1))
    assert found.value == pytest.approx(60.0, abs=0.001)
    assert found.k2 == pytest.approx(1.680, abs=0.002)


def test_a_cone_by_two_balls() -> None:
    # 60 deg: R - r = 1, h = 3. sin a = 1/(3 - 1); d(2a)/dh = 2 x 57.296 x -(1/4)/cos 30 = -33.08 deg a millimetre.
    found = cone_by_balls(Taken(6.0), Taken(4.0), Taken(1.0, 0.02), Taken(4.0, 0.02))
    assert found.value == pytest.approx(60.0, abs=1e-9)
    assert found.k2 == pytest.approx(33.08 * 0.02 * 2**0.5, abs=0.002)


def test_a_tube_by_weight() -> None:
    # 3/16 in by 22 swg (0.7112 mm): section pi (4.7625 - 0.7112) 0.7112 = 9.0517 mm2; 60 mm at 8.94 mg/mm3: 4.8553 g.
    found = tube_by_weight(Taken(4.8553, 0.01), Taken(60.0, 0.2), Taken(4.7625, 0.02), Taken(8940.0, 20.0))
    assert found.wall.value == pytest.approx(0.7112, abs=0.0001)
    assert found.bore.value == pytest.approx(4.7625 - 2 * 0.7112, abs=0.0002)
    # d(bore)/dm = -2/(pi rho L d) = -2/(pi x 0.00894 x 60 x 3.3401) = -0.35532 mm/g; mass/length is 0.080922 g/mm, so
    # the length counts 0.35532 x 0.080922 = 0.028753 mm/mm; the density 0.35532 x 4.8553/8940 = 0.00019297 mm per kg/m3
    # and the diameter D/d = 1.42586. 0.0035532^2 + 0.0057506^2 + 0.0038594^2 + 0.0285172^2 = 0.00087382: root 0.02956.
    assert found.bore.k2 == pytest.approx(0.02956, abs=0.00002)


def test_a_hexagon_s_corners() -> None:
    # 8 mm over cos 30 = 8/0.866025 = 9.2376 mm.
    assert across_corners_mm(8.0) == pytest.approx(9.2376, abs=0.0001)


def test_the_middle_of_a_tilted_face_is_hardly_off() -> None:
    # Radius 6 at 250 mm and 45 deg: 4.24264 (1/(250 - 4.24264) - 1/(250 + 4.24264)) x 250/2
    # = 4.24264 x (0.00406906 - 0.00393325) x 125 = 0.0720 mm.
    assert middle_shift_mm(6.0, 250.0, 45.0) == pytest.approx(0.0720, abs=0.0002)
    assert middle_shift_mm(6.0, 250.0, 0.0) == 0.0


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (
            lambda: pitch_by_counting(0, Taken(6.35)),
            "threads: got 6.35 mm over 0, wanted a length over at least one pitch. "
            "Count from nought at the first crest.",
        ),
        (
            lambda: cone_by_mouth(Taken(4.0), Taken(8.0), Taken(3.0)),
            "cone: got 4 mm at the mouth, 8 mm at 3 mm deep, wanted a cone that narrows inwards. "
            "Were the two diameters exchanged?",
        ),
        (
            lambda: cone_by_balls(Taken(6.0), Taken(4.0), Taken(1.0), Taken(2.5)),
            "cone: got balls of 6 and 4 mm with tops 1 and 2.5 mm deep, wanted a small ball that lies deeper by more "
            "than the difference of the diameters. Measure from one face, down as positive; does the small ball touch "
            "the bore?",
        ),
        (
            lambda: tube_by_weight(Taken(12.0), Taken(60.0), Taken(4.7625), Taken(8940.0)),
            "tube, weight: got 12 g, wanted less than 9.56 g, the weight of a solid rod. "
            "Is it solid, or of another metal? Were grams and the right length given?",
        ),
        (
            lambda: tube_by_weight(Taken(4.8), Taken(0.0), Taken(4.7625), Taken(8940.0)),
            "tube, length: got 0 mm, wanted more than nought. Measure it again.",
        ),
    ],
)
def test_readings_of_no_part_are_refused(ask: Callable[[], object], said: str) -> None:
    with pytest.raises(Refusal) as refused:
        ask()
    assert str(refused.value) == said


def _answer(*words: str) -> str:
    result = CliRunner().invoke(command, list(words))
    if result.exception is not None:
        return str(result.exception)
    return result.output.strip()


def test_the_command_reads_a_plus_or_minus_behind_the_reading() -> None:
    # By hand above: 60.0 +- 1.680 deg.
    words = ["--mouth", "8.0 mm +- 0.05 mm", "--bore", "4.0 mm ± 0.05 mm", "--deep", "3.4641 mm +- 0.1 mm"]
    assert _answer("cone", *words) == "Included angle 60.0 ± 1.7 deg, k = 2."
    assert _answer("pitch", "--length", "6.35 mm +- 0.2 mm") == "Pitch 0.635 ± 0.020 mm, k = 2; 40.0 to the inch."
    tube = ["--weight", "4.8553 g", "--length", "60 mm", "--od", "3/16 in"]
    assert _answer("tube", *tube).startswith("Wall 0.711 ± ")
    assert _answer("tube", *tube).endswith("8940 kg/m³, taken as good to 0.5 %. [assumed]")


def test_the_command_refuses_what_it_cannot_read() -> None:
    rest = ["--bore", "3 mm", "--deep", "4 mm"]
    assert _answer("cone", "--mouth", "8 mm +-", *rest) == (
        'mouth: got 8 mm +-, wanted a reading and its plus-or-minus. Write it like this: "8.0 mm +- 0.1 mm".'
    )
    assert _answer("cone", "--mouth", "8 mm +- -0.1 mm", *rest) == (
        "mouth, plus-or-minus: got -0.1 mm, wanted nought or more. Leave the minus sign off."
    )
    assert _answer("cone", "--mouth", "8", *rest) == (
        "mouth: got 8 without a unit, wanted a length such as 5.6 mm or 3/16 in. Put the unit behind the number: 8 mm."
    )
