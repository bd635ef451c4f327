"""What can come off, and the ways in which it can. Source: none; these are records."""

from __future__ import annotations

from dataclasses import dataclass

from trialfit.finding import Basis
from trialfit.fitup.hand_spanner import HandSpanner
from trialfit.fitup.order.motion import Motion
from trialfit.fitup.scene import Scene, Thing
from trialfit.parts.placement import Array


@dataclass(frozen=True, eq=False)
class Grip:
    """Where a spanner goes.

    Parameters
    ----------
    thing, piece
        The hexagon it goes on.
    middle_mm
        (3,) the hexagon's middle. [mm]
    axis
        (3,) unit vector along its axis, the way out. [-]
    spanner
        The spanner.
    """

    thing: str
    piece: str
    middle_mm: Array
    axis: Array
    spanner: HandSpanner


@dataclass(frozen=True, eq=False)
class Phase:
    """One motion of a way off.

    Parameters
    ----------
    moves
        The things that move.
    motion
        How.
    grip
        Where a spanner goes, or None where fingers do.
    basis
        What its figures rest on.
    """

    moves: tuple[str, ...]
    motion: Motion
    grip: Grip | None = None
    basis: Basis = Basis.MEASURED


@dataclass(frozen=True)
class Bar:
    """Why a way cannot be done, whatever else is off.

    Parameters
    ----------
    words
        The reason, as a clause.
    """

    words: str


@dataclass(frozen=True, eq=False)
class Way:
    """One way in which something comes off.

    Parameters
    ----------
    phases
        Motion after motion.
    sides
        Sides of the engine one can stand at to do it; none for any.
    bars
        Why it cannot be done whatever else is off, as clauses: a nut that is captive on its own pipe.
    """

    phases: tuple[Phase, ...]
    sides: tuple[str, ...] = ()
    bars: tuple[Bar, ...] = ()


@dataclass(frozen=True, eq=False)
class Loose:
    """What comes off in one piece.

    Parameters
    ----------
    name, what
        Its name, and which one in words.
    things
        The things of the scene it is made of.
    ways
        The ways in which it can come off; any one will do.
    rides
        Others that are fixed to nothing but this, and come off with it unless they are off already.
    held_by
        Others that have to be off first: they are fixed to it and to something else.
    mates
        Things it comes away from; that it touches them at rest is meant.
    """

    name: str
    what: str
    things: tuple[str, ...]
    ways: tuple[Way, ...]
    rides: tuple[str, ...] = ()
    held_by: tuple[str, ...] = ()
    mates: frozenset[str] = frozenset()


@dataclass(frozen=True, eq=False)
class Stand:
    """Everything in place, and what of it can come off.

    Parameters
    ----------
    scene
        All things.
    loose
        What can come off; all other things stay.
    """

    scene: Scene
    loose: tuple[Loose, ...]

    @property
    def owners(self) -> dict[str, str]:
        """Which of `loose` each thing belongs to, by the thing's name."""
        return {thing: each.name for each in self.loose for thing in each.things}

    def named(self, name: str) -> Loose:
        """Find what comes off by its name.

        Parameters
        ----------
        name
            Its name.

        Returns
        -------
        Loose
            It is there.
        """
        return next(each for each in self.loose if each.name == name)

    def carried(self, each: Loose) -> tuple[str, ...]:
        """Name all that moves when something comes off with everything that rides on it.

        Parameters
        ----------
        each
            What comes off.

        Returns
        -------
        tuple
            Names of `loose`, itself first; what rides on a rider too.
        """
        found = [each.name]
        for name in found:
            found += [other for other in self.named(name).rides if other not in found]
        return tuple(found)

    def thing(self, name: str) -> Thing:
        """Find a thing of the scene that is there.

        Parameters
        ----------
        name
            Its name.

        Returns
        -------
        Thing
            The thing.
        """
        return next(each for each in self.scene.things if each.name == name)
