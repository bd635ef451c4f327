"""House: every shipped figure has known sources and a basis, and the tables hang together."""

from __future__ import annotations

import tomllib
from itertools import pairwise

import pytest

from printed import OUTSIDE, printed
from trialfit.tables.copper import stress_rows
from trialfit.tables.designations import find_thread
from trialfit.tables.drills import SERIES, drills, find_drill, percent_of_thread
from trialfit.tables.gauges import gauges
from trialfit.tables.joining import fillers, fluxes, solders
from trialfit.tables.metals import metals
from trialfit.tables.rows import _FIGURES, records, rows, sources
from trialfit.tables.rules import FILES, rules
from trialfit.tables.seals import seals
from trialfit.tables.threads import Thread, gauge_lengths_mm, thread_forms, thread_series, threads
from trialfit.tables.tubes import bore_mm, stock_tubes, tube_ratings

TABLES = sorted(path.name for path in _FIGURES.glob("*.csv") if path.name != "sources.csv")
RECORDS = [(path.name, kind) for path in _FIGURES.glob("*.toml") for kind in tomllib.loads(path.read_text())]


@pytest.mark.parametrize("file", TABLES)
def test_every_row_has_known_sources_and_a_basis(file: str) -> None:
    """`rows` refuses any other; a figure from memory says so both ways."""
    assert rows(file)
    for row in rows(file):
        assert ("S-MEM" in row.sources) <= (row.basis.value in ("memory", "assumed")), row.place


@pytest.mark.parametrize(("file", "kind"), RECORDS)
def test_every_record_has_known_sources_and_a_basis(file: str, kind: str) -> None:
    assert records(file, kind)


@pytest.mark.parametrize("file", TABLES)
def test_no_two_rows_are_alike(file: str) -> None:
    written = [(*row.cells.items(), row.sources) for row in rows(file)]
    assert len(set(written)) == len(written)


def test_every_source_is_used() -> None:
    used = {key for file in TABLES for row in rows(file) for key in row.sources}
    used |= {key for file, kind in RECORDS for row in records(file, kind).values() for key in row.sources}
    beside = " ".join(path.read_text() for path in OUTSIDE.glob("*.csv"))
    notes = " ".join(row.note for file in TABLES for row in rows(file))
    text = beside + notes + " ".join(found.text for found in rules())
    assert [key for key in sources() if key not in used and key not in text] == []


@pytest.mark.parametrize("series", SERIES)
def test_drills_rise_and_names_are_unique(series: str) -> None:
    found = drills(series)
    assert all(a.diameter_mm < b.diameter_mm for a, b in pairwise(found))
    assert len({drill.name for drill in found}) == len(found)
    if series == "number":
        assert [drill.name for drill in found] == [f"#{number}" for number in range(80, 0, -1)]


@pytest.mark.parametrize("thread", threads(), ids=lambda thread: thread.designation)
def test_core_below_effective_below_major(thread: Thread) -> None:
    assert 0 < thread.core_mm < thread.effective_mm < thread.major_mm
    assert thread.core_mm <= thread.core_internal_mm < thread.effective_mm
    assert thread.pitch_mm * thread.tpi == pytest.approx(25.4, rel=1e-12)


@pytest.mark.parametrize("thread", threads(), ids=lambda thread: thread.designation)
def test_a_designation_finds_its_own_thread(thread: Thread) -> None:
    assert find_thread(thread.designation) is thread
    assert find_thread(f" {thread.designation.lower()} ") is thread


def test_no_designation_twice_and_every_series_present() -> None:
    names = [thread.designation for thread in threads()]
    assert len(set(names)) == len(names) == 112
    assert {thread.series for thread in threads()} == set(thread_series())
    assert {thread.form for thread in threads()} == set(thread_forms())
    assert set(gauge_lengths_mm()) == {thread.designation for thread in threads() if thread.taper}


def test_tapping_drills_leave_some_thread() -> None:
    for row in rows("tapping_drills.csv"):
        thread, drill = find_thread(row["thread"]), find_drill(row["drill"])
        assert thread.designation == row["thread"]
        assert 40 < percent_of_thread(thread, drill.diameter_mm).of_us_pct < 101, row.place


def test_clearance_drills_clear() -> None:
    majors = {round(thread.major_mm, 4) for thread in threads()}
    for row in rows("clearance_holes.csv"):
        assert find_drill(row["drill"]).diameter_mm > row.length_mm("major"), row.place
        assert round(row.length_mm("major"), 4) in majors, row.place
        assert set(row["series"].split()) <= set(thread_series()), row.place
        assert row["fit"] in ("close", "normal", "free"), row.place


def test_gauges_thin_as_they_rise() -> None:
    assert list(gauges()) == list(range(10, 37))
    assert all(a > b for a, b in pairwise(gauges().values()))


def test_stress_never_rises_with_heat() -> None:
    for temper in ("annealed", "drawn"):
        assert all(a.temperature_c < b.temperature_c for a, b in pairwise(stress_rows(temper)))
        assert all(a.stress_mpa >= b.stress_mpa for a, b in pairwise(stress_rows(temper)))


def test_melting_ranges_rise() -> None:
    for filler in fillers():
        assert filler.solidus_c < filler.liquidus_c and filler.cadmium == filler.name.endswith("Cd")
    assert all(solder.solidus_c <= solder.liquidus_c for solder in solders())
    assert all(flux.low_c < flux.high_c for flux in fluxes())
    assert max(solder.liquidus_c for solder in solders()) < min(filler.solidus_c for filler in fillers())


def test_metals_are_whole() -> None:
    for metal in metals().values():
        assert 7000 < metal.density_kg_m3 < 9000 and 300 < metal.heat_j_kg_k < 600
        for band in (metal.modulus, metal.expansion, metal.conductivity, metal.proof, metal.uts):
            assert 0 < band.low <= band.likely <= band.high, metal.key
        assert metal.proof.high < metal.uts.high
        told = " ".join(metal.assumed)
        assert (metal.proof.low < metal.proof.high) <= ("proof stress" in told)


def test_rules_have_a_figure_or_words() -> None:
    for found in rules():
        assert found.low is not None or found.high is not None or found.text
        if found.low is not None and found.high is not None:
            assert found.low <= found.high
    names = [(found.subject, found.name) for found in rules()]
    assert len(set(names)) == len(names)
    assert set(FILES) <= set(TABLES)


def test_seals_stand_less_steam_than_dry_heat() -> None:
    for seal in seals().values():
        assert seal.steam in ("suitable", "limited", "unsuitable")
        assert (seal.steam_most_c is None) == (seal.steam != "limited")
        if seal.steam_most_c is not None and seal.steam_marginal_c is not None:
            assert seal.steam_most_c < seal.steam_marginal_c


def test_stocked_and_rated_tubes_have_a_bore() -> None:
    for stock in stock_tubes():
        assert bore_mm(stock.od_mm, gauges()[stock.gauge]) > 0
    for rating in tube_ratings():
        assert bore_mm(rating.od_mm, rating.wall_mm) > 0


def test_files_beside_the_outside_tests_name_known_sources() -> None:
    for path in OUTSIDE.glob("*.csv"):
        assert printed(path.name)
