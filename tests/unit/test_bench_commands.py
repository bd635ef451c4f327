"""Unit: whole lines of the bench commands, each figure worked by hand; refusals end with exit code 2."""

from __future__ import annotations

import json

import pytest

from trialfit.cli import main


def _run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    printed = capsys.readouterr()
    return int(str(ended.value.code)), printed.out, printed.err


def _lines(capsys: pytest.CaptureFixture[str], *words: str) -> list[str]:
    code, out, err = _run(capsys, *words)
    assert (code, err) == (0, "")
    return out.splitlines()


def test_thread_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """1/4x40: depth 0.640327 x 25.4 / 40 = 0.406608 mm; 6.35 less it is 5.943392, less twice it 5.536784."""
    lines = _lines(capsys, "thread", "1/4x40")
    assert lines[0] == "1/4x40   model, 40 tpi; Whitworth form (BS 84), 55 deg"
    for line in (
        "  major           6.350    0.2500   1/4 in",
        "  effective       5.943    0.2340",
        "  core            5.537    0.2180",
        "  pitch           0.635    0.0250   40 tpi",
        "Tapping drills that leave 60 to 85 % of the Whitworth depth",
        "                mm       in    of Whitworth depth    of US handbook depth",
        # 0.65 / 0.813216 = 79.9 %, / 0.824889 = 78.8 %
        "  5.7 mm     5.700   0.2244                  80 %                    79 %",
        # #1 is 0.228 in = 5.7912 mm: 0.5588 / 0.813216 = 68.7 %, / 0.824889 = 67.7 %
        "  #1         5.791   0.2280                  69 %                    68 %",
        "  5.8 mm     5.800   0.2283                  68 %                    67 %",
        # 7/32 in = 5.55625 mm: 97.6 %, 96.2 %
        "  7/32 in    5.556   0.2188                  98 %                    96 %",
        "      memory; S-MEM; common in brass fittings; nearly the whole thread, so hard on the tap",
        "      common practice; S-HOBBYTAB; printed as about 75 % and for steel, without saying of which depth",
        # 6.35 x 1.015 = 6.445: the next metric drill is 6.5 mm, 0.15 mm or 5.9 thou over
        "  close   6.5 mm    +0.15 mm  +6 thou     common practice; the next drill at least 1.5 % over the thread",
        "  free    6.6 mm    +0.25 mm  +10 thou    common practice; S-HOBBYTAB",
        "  S-HOBBYTAB   Hobby page reproducing model thread, brass, BA, SWG tables",
        "  Metric drill steps are from memory of ISO 235.",
    ):
        assert line in lines


def test_metric_thread_names_both_cores(capsys: pytest.CaptureFixture[str]) -> None:
    """M8: ISO 724 d2 7.188, D1 6.647; d3 6.466. ISO 273 clearance 8.4, 9 and 10 mm."""
    lines = _lines(capsys, "thread", "M8")
    for line in (
        "M8x1.25   ISO metric coarse; ISO metric and unified form (ISO 68-1, ISO 724, ASME B1.1), 60 deg",
        "  effective       7.188    0.2830",
        "  core, male      6.466    0.2546",
        "  core, female    6.647    0.2617",
        "  pitch           1.250    0.0492   20.32 tpi",
        "Tapping drills that leave 60 to 85 % of the US handbook depth",
        # 1.2 / (1.082532 x 1.25) = 88.7 %, / (1.299038 x 1.25) = 73.9 %
        "  6.8 mm     6.800   0.2677                  89 %                    74 %",
        "  close   8.4 mm    +0.40 mm  +16 thou    S-BDW; ISO 273",
        "Hexagon across flats  13.00 mm  0.512 in  S-BDW, S-WAF",
    ):
        assert line in lines


def test_words_need_no_quotes_and_memory_is_labelled(capsys: pytest.CaptureFixture[str]) -> None:
    lines = _lines(capsys, "thread", "9/32", "x", "40")
    assert lines[1] == "The size rests on memory."
    taper = _lines(capsys, "thread", "R1/8")
    assert "  gauge length    4.000    0.1575" in taper
    assert "Clearance drills" not in taper
    assert "The same thread as 1/8 BSW." in _lines(capsys, "thread", "1/8x40")


def test_drill_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """5.57 mm / 25.4 = 0.21929 in. 7/32 in = 5.55625, #2 = 0.221 in = 5.6134, #3 = 0.213 in = 5.4102, A = 5.9436 mm."""
    assert _lines(capsys, "drill", "5.57mm") == [
        "5.570 mm   0.2193 in   nearest 1/64: 7/32 in (-0.014 mm)",
        "",
        "            under                           over",
        "  metric    5.5 mm    -0.070 mm  -2.8 thou  5.6 mm    +0.030 mm  +1.2 thou",
        "  fraction  7/32 in   -0.014 mm  -0.5 thou  15/64 in  +0.383 mm  +15.1 thou",
        "  number    #3        -0.160 mm  -6.3 thou  #2        +0.043 mm  +1.7 thou",
        "  letter    none                            A         +0.374 mm  +14.7 thou",
        "",
        "Nearest of all: 7/32 in (fraction), -0.014 mm  -0.5 thou.",
        "",
        "Sources",
        "  S-B9411      ASME B94.11M twist drill sizes",
        "  S-BDW        Open-source part library bd_warehouse 0.4.0, its tables",
        "  Metric drill steps are from memory of ISO 235.",
    ]


def test_a_named_drill_is_exact(capsys: pytest.CaptureFixture[str]) -> None:
    lines = _lines(capsys, "drill", "No", "7")
    assert lines[0] == "#7   5.105 mm   0.2010 in   nearest 1/64: 13/64 in (+0.054 mm)"  # 5.159375 - 5.1054
    assert "  number    #7        exact                 #7        exact" in lines


def test_tube_lines(capsys: pytest.CaptureFixture[str]) -> None:
    """Worked in test_tube_yardstick; 1785.76 psi is 123.1 bar, 1299.3 is 89.6, 2035.1 is 140.3, 1480.8 is 102.1."""
    lines = _lines(capsys, "tube", "3/16 in", "22 swg")
    for line in (
        "Copper tube (CW024A) 3/16 in × 22 swg, annealed",
        "  bore                   3.340    0.1315",
        "  mass                    80.9 g/m",
        "  Walls commonly stocked: 24, 22, 20, 18 swg [common practice].",
        "Pressure by the yardstick of ASME B31, P = 2 S t / (D - 0.8 t)",
        "  cold                          6000 psi       1786 psi  123.1 bar   2035 psi  140.3 bar",
        "  in steam of 80 psi, 162 °C    4365 psi       1299 psi   89.6 bar   1481 psi  102.1 bar",
        "  In that steam the plain tube is good for 16 times 80 psi.",
        "  Least wall 0.640 mm: nominal less 10 %. "
        "[ASTM B88 allows 9 to 11 % on its smallest sizes; assumed for small tube]",
        "  Annealed is assumed: all tube is that has been silver-soldered. [assumed]",
        "  Published for this size: 1800 psi up to 37 °C, soft tube, ASTM B75 and B88 [S-TUBE31].",
        "Joints give out long before the tube: full-size rules allow 120 psi of saturated steam on a",
        "local code decide.",
        "  S-CTH3C      Copper Tube Handbook Table 14.3c type M",
    ):
        assert line in lines


def test_tube_takes_another_pressure_and_loose_words(capsys: pytest.CaptureFixture[str]) -> None:
    """100 psi of steam: 337.88 F (338 in print), so S = 4700 - 700 x 37.88 / 50 = 4169.7 psi."""
    lines = _lines(capsys, "tube", "3/16", "in", "22", "swg", "--pressure", "100 psi")
    assert any(line.startswith("  in steam of 100 psi, 170 °C   4170 psi") for line in lines)


@pytest.mark.parametrize("words", [("thread", "1/4x40"), ("drill", "5.57mm"), ("tube", "3/16 in", "22 swg")])
def test_json_holds_the_same_record(capsys: pytest.CaptureFixture[str], words: tuple[str, ...]) -> None:
    code, out, _ = _run(capsys, *words, "--json")
    record = json.loads(out)
    assert code == 0
    if words[0] == "thread":
        assert record["thread"]["effective_mm"] == pytest.approx(5.943392, abs=1e-6)
        assert record["tapping"][0]["percent"]["of_us_pct"] == pytest.approx(78.8, abs=0.01)
        assert record["tapping_in_print"][0]["basis"] == "memory"
    elif words[0] == "drill":
        assert [side["series"] for side in record["nearest"]] == ["metric", "fraction", "number", "letter"]
        assert record["nearest"][3]["under"] is None
    else:
        assert record["bore_mm"] == pytest.approx(3.3401, abs=1e-9)
        assert record["hot"]["stress"]["sources"] == ["S-CTH3C"]
        assert len(record["assumed"]) == 3


@pytest.mark.parametrize(
    ("words", "refusal"),
    [
        (
            ("thread", "1/4x42"),
            "thread: got 1/4x42, wanted a thread of the tables, such as 1/4x40, 2BA, M8x1, G1/8 or 1/4-20 UNC. "
            "The nearest known are 1/4x40, 1/4x32 and 1/4-28 UNF.",
        ),
        (
            ("drill", "5.57"),
            "drill: got 5.57 without a unit, wanted a drill such as 5.6 mm, 7/32 in, #43 or F. "
            "Put the unit behind the number: 5.57 mm.",
        ),
        (
            ("tube", "3/16 in"),
            'tube: got 3/16 in, wanted an outside diameter and a wall. Put each in quotes: tube "3/16 in" "22 swg".',
        ),
        (
            ("tube", "3/16 in", "22"),
            "wall: got 22 without a unit, wanted a wall such as 22 swg, 0.7 mm or 0.028 in. "
            "Put the unit behind the number: 22 swg, or the thickness with mm or in.",
        ),
        (
            ("tube", "3/16 in", "22 swg", "--pressure", "80"),
            "working pressure: got 80 without a unit, wanted a pressure such as 80 psi or 5.5 bar. "
            "Put the unit behind the number: 80 psi.",
        ),
    ],
)
def test_refusals_end_with_2(capsys: pytest.CaptureFixture[str], words: tuple[str, ...], refusal: str) -> None:
    assert _run(capsys, *words) == (2, "", f"Refused.\n{refusal}\n")


def test_nothing_asked_is_said_so(capsys: pytest.CaptureFixture[str]) -> None:
    code, _, err = _run(capsys, "thread")
    assert code == 2
    assert "Missing argument" in err


def test_a_sum_of_readings_without_plus_or_minus_claims_none(capsys: pytest.CaptureFixture[str]) -> None:
    """2 atan(5 / 8.6) = 60.35 deg; half the differences over the depth, 0.1, 0.05 and 0.1 mm, make ± 1.6 deg of it."""
    readings = ("measure", "cone", "--mouth", "8 mm", "--bore", "3 mm", "--deep", "4.3 mm")
    first, second = _lines(capsys, *readings)
    assert first == "Included angle 60.3 deg."
    assert second.startswith("Taken as exact, which no reading is: mouth, bore and depth.")
    surer = [f"{word} +- {pm}" if pm else word for word, pm in zip(readings, _PMS, strict=True)]
    assert _lines(capsys, *surer) == ["Included angle 60.3 ± 1.6 deg, k = 2."]


_PMS = ("", "", "", "0.1 mm", "", "0.05 mm", "", "0.1 mm")


@pytest.mark.parametrize("words", [("drill",), ("measure", "pitch", "--length"), ("tube", "3/16 in")])
def test_a_figure_with_hundreds_of_digits_is_refused(
    capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    code, _, err = _run(capsys, *words, "9" * 400 + " mm")
    assert code == 2
    assert "got a figure with hundreds of digits" in err
