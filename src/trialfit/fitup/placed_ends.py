"""Ports that nobody surveyed: where the joints put the parts they belong to, and how sure that is.

Source: `trialfit.fitup.place_adjust`; first-order propagation of covariance, JCGM 100:2008 section 5.2;
`docs/methods/in_place.md`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import degrees, radians

import numpy as np

from trialfit.errors import Refusal
from trialfit.fitup.place_adjust import Adjusted
from trialfit.fitup.place_gather import is_fixed
from trialfit.fitup.place_names import port_about
from trialfit.fitup.place_slopes import Moved, port_at
from trialfit.fitup.place_ties import LEAN_K2_DEG
from trialfit.fitup.records import Array
from trialfit.fitup.roll_cures import roll_cures
from trialfit.parts.envelope import Envelope, PortPlace
from trialfit.parts.made_up import MadeUp
from trialfit.parts.place import MOST_LEAN_SIGMA, Surveyed

# A step that nothing fixes leaves a port where it is if it moves it by no more than this, being of unit size at 20 mm.
_STILL = 1e-6
# What a place follows a surveyed figure by and is not worth asking after.
_NOTHING = 1e-9


@dataclass(frozen=True, eq=False)
class PlacedEnds:
    """A survey that knows ports nobody surveyed as well, from where their parts stand.

    Parameters
    ----------
    survey
        The surveyed points.
    adjusted
        How the parts were placed on it.
    envelopes
        Every part's envelope, by name.
    joints
        Every joint between them, made up.
    faces, axes
        The ports it gives by those names: the middle of a port's face, and the way a port looks.
    """

    survey: Surveyed
    adjusted: Adjusted
    envelopes: Mapping[str, Envelope]
    joints: tuple[MadeUp, ...]
    faces: Mapping[str, PortPlace]
    axes: Mapping[str, PortPlace]

    def joint(self, names: list[str]) -> tuple[Array, Array]:
        """Give several points, or axes, together with their joint covariance.

        Parameters
        ----------
        names
            Names of m points or axes, surveyed or of placed ports.

        Returns
        -------
        tuple
            (m, 3) positions [mm], of an axis its direction [-]; and (3m, 3m) covariance [mm2, mm, 1].

        Raises
        ------
        Refusal
            A name nobody knows; a port whose part may still turn or slide, or may lean anywhere.
        """
        if not any(name in self.faces or name in self.axes for name in names):
            return self.survey.joint(names)
        slopes, surveyed = self.slopes(names)
        figures, spread = self.survey.joint(surveyed) if surveyed else (np.zeros((0, 3)), np.zeros((0, 0)))
        known = dict(zip(surveyed, figures, strict=True))
        values = [self._moved(name).value if self._is_placed(name) else known[name] for name in names]
        covariance = slopes @ spread @ slopes.T + self._own(names)
        for k, name in enumerate(names):
            if name in self.axes:
                self._refuse_leaning(self.axes[name], covariance[3 * k : 3 * k + 3, 3 * k : 3 * k + 3])
        return np.array(values), (covariance + covariance.T) / 2

    def slopes(self, names: Sequence[str]) -> tuple[Array, list[str]]:
        """Say how points and axes move with the survey alone.

        Parameters
        ----------
        names
            Names of m points or axes, surveyed or of placed ports.

        Returns
        -------
        tuple
            (3m, 3s) derivative by s surveyed points or axes [-, 1/mm]; their names.

        Raises
        ------
        Refusal
            A port whose part may still turn or slide.
        """
        hung = self._hung(names)
        surveyed = list(dict.fromkeys([*(name for name in names if not self._is_placed(name)), *hung]))
        column = {name: 3 * k for k, name in enumerate(surveyed)}
        found = np.zeros((3 * len(names), 3 * len(surveyed)))
        gains = {name: 3 * k for k, name in enumerate(self.adjusted.jointly.names)}
        for k, name in enumerate(names):
            rows = slice(3 * k, 3 * k + 3)
            if not self._is_placed(name):
                found[rows, column[name] : column[name] + 3] = np.eye(3)
                continue
            gain = self._by_steps(name) @ self.adjusted.jointly.gain
            for other in hung:
                found[rows, column[other] : column[other] + 3] = gain[:, gains[other] : gains[other] + 3]
        return found, surveyed

    def surer(self, survey: Surveyed) -> PlacedEnds:
        """Give the same places on the same survey, foreseen to be surer.

        Parameters
        ----------
        survey
            The same points, with another covariance.

        Returns
        -------
        PlacedEnds
            Each place follows the survey as it did: that it would be weighed anew is left out.
        """
        return replace(self, survey=survey)

    def _is_placed(self, name: str) -> bool:
        return name in self.faces or name in self.axes

    def _hung(self, names: Sequence[str]) -> list[str]:
        """The surveyed figures that the placed ones among some names follow."""
        placed = [name for name in names if self._is_placed(name)]
        if not placed:
            return []
        gain = np.abs(np.vstack([self._by_steps(name) for name in placed]) @ self.adjusted.jointly.gain)
        most = gain.max(axis=0).reshape(-1, 3).max(axis=1)
        called = zip(self.adjusted.jointly.names, most, strict=True)
        return [name for name, by in called if by > _NOTHING and is_fixed(self.survey, name)]

    def _moved(self, name: str) -> Moved:
        at, way = port_at(self.faces.get(name) or self.axes[name], self.adjusted.places)
        return at if name in self.faces else way

    def _by_steps(self, name: str) -> Array:
        """(3, 6n) slopes of a placed port by the steps of all parts."""
        place = self.faces.get(name) or self.axes[name]
        jointly = self.adjusted.jointly
        start = 6 * jointly.parts.index(place.port.part)
        found = np.zeros((3, 6 * len(jointly.parts)))
        found[:, start : start + 6] = self._moved(name).slopes
        if float(np.abs(found @ jointly.unfixed).max(initial=0.0)) > _STILL:
            raise self._unfixed(place)
        return found

    def _own(self, names: Sequence[str]) -> Array:
        """Covariance from what hangs on no surveyed point: joints, sizes, and how a port sits in its part."""
        jointly = self.adjusted.jointly
        # Of bodies' faces the survey knows nothing by name.
        bodies = np.repeat([not is_fixed(self.survey, name) for name in jointly.names], 3)
        gain = jointly.gain[:, bodies]
        steps = jointly.own_covariance + gain @ jointly.figures_covariance[np.ix_(bodies, bodies)] @ gain.T
        size = 6 * len(jointly.parts)
        by_steps = np.vstack(
            [self._by_steps(name) if self._is_placed(name) else np.zeros((3, size)) for name in names]
        )  # fmt: skip
        found = by_steps @ steps @ by_steps.T
        for k, one in enumerate(names):
            for m, other in enumerate(names):
                if one == other and self._is_placed(one):
                    found[3 * k : 3 * k + 3, 3 * m : 3 * m + 3] += self._in_its_part(one)
        return np.asarray(found)

    def _in_its_part(self, name: str) -> Array:
        """(3, 3) covariance of a port in its own part: where it is, or how it leans."""
        if name in self.faces:
            return np.eye(3) * (self.faces[name].k2_mm / 2) ** 2
        way = self._moved(name).value
        return np.asarray((np.eye(3) - np.outer(way, way)) * (radians(LEAN_K2_DEG) / 2) ** 2)

    def _unfixed(self, place: PortPlace) -> Refusal:
        part = place.port.part
        turns = self.adjusted.free.get(part, ())
        what, wanted = f"port {place.port.full_name}", "a part that stands one way only, or a surveyed face"
        lacks = "no surveyed face" if place.port.face is None else "a face without a surveyed direction"
        if part in self.adjusted.loose:
            return Refusal(
                what, f"{lacks}, and {part} may slide where it is", wanted,
                f"Say how much the joint of {part} hides (hidden = ...), or mark the middle of this face.",
            )  # fmt: skip
        if len(turns) != 1:
            return Refusal(
                what, f"{lacks}, and {part} may point any way", wanted,
                f"Say what carries {part} or add the joint that holds it, or mark this face and a point behind it.",
            )  # fmt: skip
        axis = np.asarray(self.adjusted.places[part].turn.T @ turns[0].axis)
        about = port_about(self.envelopes[part], axis)
        cures = roll_cures(part, axis, self.envelopes, self.joints, self.adjusted, place.port.full_name)
        remedy = f"{'; or '.join([*cures[1:], cures[0]])}."
        return Refusal(
            what, f"{lacks}. Its turn about the axis of {about} is not fixed", wanted,
            f"{remedy[0].upper()}{remedy[1:]}",
        )  # fmt: skip

    def _refuse_leaning(self, place: PortPlace, covariance: Array) -> None:
        sigma = float(np.linalg.eigvalsh(covariance)[-1]) ** 0.5
        if sigma > MOST_LEAN_SIGMA:
            raise Refusal(
                f"port {place.port.full_name}, direction",
                f"a direction known from its joints only to ± {degrees(2 * sigma):.0f} deg",
                f"a direction known to ± {degrees(2 * MOST_LEAN_SIGMA):.0f} deg or better",
                f"Say more closely which way round {place.port.part} stands, or mark the middle of this face and a "
                "point behind it.",
            )
