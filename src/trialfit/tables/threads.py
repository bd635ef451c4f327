"""Screw threads: what is published is diameter, pitch and form; effective and core diameters follow from the form.

Source: the standards named in ``figures/thread_forms.toml`` (BS 84, BS 93, ISO 68-1, ASME B1.1); sizes by the rows
of ``figures/threads.csv``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from math import isclose, radians, sin, tan

from trialfit.finding import Basis
from trialfit.tables.rows import Row, records, rows
from trialfit.units import read


@dataclass(frozen=True)
class ThreadForm:
    """A form of thread, for a pitch of one.

    Parameters
    ----------
    key
        Short name: ``W55``, ``BA``, ``ISO60``.
    name
        Name in words.
    standard
        The standards that define it.
    angle_deg
        Included angle of the flanks. [deg]
    height_per_pitch
        Height of the sharp triangle over the pitch. [-]
    effective_below_major_per_pitch
        Major less effective diameter, over the pitch. [-]
    core_below_major_per_pitch
        Major less core diameter of the male thread, over the pitch. [-]
    inside_core_below_major_per_pitch
        Major less basic core diameter of the female thread, over the pitch. [-]
    root_radius_per_pitch
        Radius that rounds the root of the male thread tangent to its flanks, over the pitch. [-]
    sources, basis
        Where the form is defined.
    """

    key: str
    name: str
    standard: str
    angle_deg: float
    height_per_pitch: float
    effective_below_major_per_pitch: float
    core_below_major_per_pitch: float
    inside_core_below_major_per_pitch: float
    root_radius_per_pitch: float
    sources: tuple[str, ...]
    basis: Basis


@dataclass(frozen=True)
class Series:
    """A series of threads.

    Parameters
    ----------
    key
        Short name: ``ME40``, ``BSF`` ...
    name
        Name in words.
    taper
        Whether its threads are tapered.
    note
        What to know before using it; empty for nothing.
    """

    key: str
    name: str
    taper: bool
    note: str


@dataclass(frozen=True)
class Thread:
    """One thread.

    Parameters
    ----------
    series
        Short name of its series.
    designation
        How the tables write it; one spelling each.
    form
        Short name of its form.
    angle_deg
        Included angle of the flanks. [deg]
    major_mm
        Major diameter; of a taper thread, at the gauge plane. [mm]
    pitch_mm
        Pitch. [mm]
    tpi
        Threads per inch. [1/in]
    effective_mm
        Effective (pitch) diameter. [mm]
    core_mm
        Core diameter of the male thread. [mm]
    core_internal_mm
        Basic core diameter of the female thread; it differs from `core_mm` only in ISO and unified threads. [mm]
    taper
        Whether it tapers 1 in 16.
    sources, basis, note
        Where its size comes from.
    """

    series: str
    designation: str
    form: str
    angle_deg: float
    major_mm: float
    pitch_mm: float
    tpi: float
    effective_mm: float
    core_mm: float
    core_internal_mm: float
    taper: bool
    sources: tuple[str, ...]
    basis: Basis
    note: str

    def is_same_as(self, other: Thread) -> bool:
        """Whether the two are one thread under two names, as 1/8x40 and 1/8 BSW are.

        Parameters
        ----------
        other
            The thread to compare.

        Returns
        -------
        bool
            Same form, taper, major diameter and pitch.
        """
        return (
            (self.form, self.taper) == (other.form, other.taper)
            and isclose(self.major_mm, other.major_mm, rel_tol=1e-9)
            and isclose(self.pitch_mm, other.pitch_mm, rel_tol=1e-9)
        )


@cache
def thread_forms() -> Mapping[str, ThreadForm]:
    """Give the forms by their short names.

    Returns
    -------
    Mapping
        ``W55``, ``BA`` and ``ISO60``.
    """
    return {key: _form(key, row) for key, row in records("thread_forms.toml", "form").items()}


@cache
def thread_series() -> Mapping[str, Series]:
    """Give the series by their short names.

    Returns
    -------
    Mapping
        From ``ME40`` to ``MF``.
    """
    found = records("thread_forms.toml", "series")
    return {key: Series(key, row["name"], bool(row.cells["taper"]), row.note) for key, row in found.items()}


@cache
def threads() -> tuple[Thread, ...]:
    """Give every thread of the tables.

    Returns
    -------
    tuple of Thread
        In the order of the file: series by series, small to large.
    """
    return tuple(_thread(row) for row in rows("threads.csv"))


@cache
def gauge_lengths_mm() -> Mapping[str, float]:
    """Give the basic gauge lengths of the taper pipe threads.

    Returns
    -------
    Mapping
        Distance from the small end to the gauge plane, by designation. [mm]

    Source
    ------
    ISO 7-1 table 1 as encyclopaedias reprint it.
    """
    return {row["thread"]: row.number("gauge_length_mm") for row in rows("taper_pipe.csv")}


@cache
def gauge_lengths_rest_on() -> Mapping[str, Basis]:
    """Give what each of those gauge lengths rests on.

    Returns
    -------
    Mapping
        Basis by designation.
    """
    return {row["thread"]: row.basis for row in rows("taper_pipe.csv")}


def same_threads(thread: Thread) -> tuple[Thread, ...]:
    """Give the other names a thread goes by.

    Parameters
    ----------
    thread
        The thread.

    Returns
    -------
    tuple of Thread
        Threads of other series with the same form, diameter and pitch; usually none.
    """
    return tuple(t for t in threads() if t.designation != thread.designation and t.is_same_as(thread))


def _form(key: str, row: Row) -> ThreadForm:
    angle_deg = row.number("angle_deg")
    height = 0.5 / tan(radians(angle_deg / 2))
    unit = height if row["depths_of"] == "H" else 1.0

    def below(diameter: str) -> float:
        return float(Fraction(row[f"{diameter}_below_major"])) * unit

    half = sin(radians(angle_deg / 2))
    above_sharp_root = (height - below("core") + below("effective")) / 2
    return ThreadForm(
        key=key,
        name=row["name"],
        standard=row["standard"],
        angle_deg=angle_deg,
        height_per_pitch=height,
        effective_below_major_per_pitch=below("effective"),
        core_below_major_per_pitch=below("core"),
        inside_core_below_major_per_pitch=below("inside_core"),
        root_radius_per_pitch=above_sharp_root * half / (1 - half),
        sources=row.sources,
        basis=row.basis,
    )


def _thread(row: Row) -> Thread:
    form = thread_forms()[row["form"]]
    major_mm = row.length_mm("major")
    if row["pitch"].endswith("tpi"):
        tpi = read(row["pitch"], "threads per inch", row.place).number
        pitch_mm = float(Fraction(254, 10) / tpi)
    else:
        pitch_mm = row.length_mm("pitch")
        tpi = Fraction(254, 10) / read(row["pitch"], "length", row.place).number
    return Thread(
        series=row["series"],
        designation=row["designation"],
        form=form.key,
        angle_deg=form.angle_deg,
        major_mm=major_mm,
        pitch_mm=pitch_mm,
        tpi=float(tpi),
        effective_mm=major_mm - form.effective_below_major_per_pitch * pitch_mm,
        core_mm=major_mm - form.core_below_major_per_pitch * pitch_mm,
        core_internal_mm=major_mm - form.inside_core_below_major_per_pitch * pitch_mm,
        taper=thread_series()[row["series"]].taper,
        sources=row.sources,
        basis=row.basis,
        note=row.note,
    )
