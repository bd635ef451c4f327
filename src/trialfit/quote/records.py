"""What the quote stage takes and gives.

Source: each field by the module that fills it; `docs/methods/quote.md` gathers them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from math import ceil
from typing import Literal

from trialfit.finding import Band, Finding
from trialfit.fitup.records import PipePlan
from trialfit.making.process_records import OrderOfWork
from trialfit.making.turned.plan import TurnedJob
from trialfit.quote.foresee import Minutes
from trialfit.quote.learn import Reach
from trialfit.strength.pressure_report import PressureTest
from trialfit.strength.report import BreakReport
from trialfit.units import Quantity

StockForm = Literal["tube", "round bar", "hexagon bar", "solder", "flux"]
LineKind = Literal["work", "work by the time taken", "made up to the least charge", "material", "post"]
Counted = Literal["min", "piece", "m", "kg", "g", "parcel"]
Charged = Literal["as quoted", "as quoted, it took longer", "by the time taken"]


@dataclass(frozen=True)
class Making:
    """As much of a job's plan as the quote goes by.

    Parameters
    ----------
    turned
        The parts to be turned.
    pipes
        The pipes that could be laid out.
    orders
        The order of work of each assembly.
    tests
        The pressure tests.
    breaks
        The broken tails, worked out.
    clocked
        Names of the fittings that must point somewhere.
    mass_g
        Mass of the parcel going out, or None where it is not known. [g]
    mass_lacks
        Pieces of it whose mass nobody knows.
    """

    turned: TurnedJob
    pipes: tuple[PipePlan, ...] = ()
    orders: tuple[OrderOfWork, ...] = ()
    tests: tuple[PressureTest, ...] = ()
    breaks: tuple[BreakReport, ...] = ()
    clocked: tuple[str, ...] = ()
    mass_g: float | None = None
    mass_lacks: tuple[str, ...] = ()


@dataclass(frozen=True)
class WorkLine:
    """One operation of the job.

    Parameters
    ----------
    name
        How a choice calls it: ``turned.cones``, ``assemblies.feed.bends``, or its name in the quote.
    operation
        The operation whose times it goes by.
    what
        In words.
    count
        How many. [-]
    each
        What is counted.
    reach
        The guess at one of them.
    typed
        Whether the guess is this job's own.
    """

    name: str
    operation: str
    what: str
    count: int
    each: str
    reach: Reach
    typed: bool = False

    @property
    def learnt_as(self) -> str:
        """The name under which it is learnt: a guess of the job's own stands for itself."""
        return f"{self.operation} ({self.name})" if self.typed else self.operation


@dataclass(frozen=True)
class Foreseen:
    """One operation with what it is foreseen to take.

    Parameters
    ----------
    line
        The operation.
    minutes
        What it takes, all of them together.
    times
        How many of the shop's own past times it rests on. [-]
    taken_min
        What it has taken on this job so far, or None. [min]
    """

    line: WorkLine
    minutes: Minutes
    times: int
    taken_min: float | None


@dataclass(frozen=True)
class Way:
    """Repairing something, or making it anew.

    Parameters
    ----------
    words
        ``repair`` or ``remake``.
    minutes
        What it takes; of a repair, making anew included as often as it fails.
    mean_price, four_in_five_price
        What its work costs, or None without a price of the hour.
    """

    words: str
    minutes: Minutes
    mean_price: Decimal | None
    four_in_five_price: Decimal | None


@dataclass(frozen=True)
class Choice:
    """Repair or remake of one thing.

    Parameters
    ----------
    name, what
        Its name in the job, and in words.
    repair, remake
        The two ways.
    fails
        Odds that the repair fails. [-]
    by
        Whose odds they are.
    chosen
        What is quoted.
    asked
        Whether the job says so; else it is the one with the lower four-in-five time.
    before, after
        Torque at which the tail yields as it was and as it is to be, or None. [N·m]
    """

    name: str
    what: str
    repair: Way
    remake: Way
    fails: float
    by: str
    chosen: str
    asked: bool
    before: Band | None
    after: Band | None


@dataclass(frozen=True)
class Need:
    """A length of stock that is used up.

    Parameters
    ----------
    name
        What needs it: ``turned.cones``, ``pipes.feed``.
    form
        Tube, round bar or hexagon bar.
    size_mm
        Outside diameter or width across flats. [mm]
    metal
        Key of the metal.
    long_mm
        How much of it. [mm]
    """

    name: str
    form: StockForm
    size_mm: float
    metal: str
    long_mm: float

    def __str__(self) -> str:
        """Write what is wanted."""
        return f"{self.form} {self.size_mm:.2f} mm of {self.metal}, {ceil(self.long_mm)} mm for {self.name}"


@dataclass(frozen=True)
class SolderNeed:
    """Solder and flux that one joint uses up.

    Parameters
    ----------
    name
        The work: ``assemblies.feed.cone``.
    filler
        Filler or solder.
    solder_g, flux_g
        How much of each, wastage included; None where nothing says how large the joint is. [g]
    sized_by
        The joint's sizes and where they come from, in words.
    """

    name: str
    filler: str
    solder_g: float | None
    flux_g: float | None
    sized_by: str


@dataclass(frozen=True)
class StuffNeed:
    """Solder of one sort, or flux, that all joints together use up.

    Parameters
    ----------
    form
        Solder or flux.
    filler
        The solder's name; empty of flux.
    mass_g
        How much. [g]
    """

    form: Literal["solder", "flux"]
    filler: str
    mass_g: float

    def __str__(self) -> str:
        """Write what is wanted."""
        return f"{self.mass_g:.1f} g of {self.filler or 'flux'}"


@dataclass(frozen=True)
class NotInStock:
    """Something the job wants out of stock that the shop file does not have.

    Parameters
    ----------
    what
        In the job's words.
    stock
        What the job calls it in the shop's stock.
    """

    what: str
    stock: str

    def __str__(self) -> str:
        """Write what is wanted."""
        return f"{self.what} ({self.stock}, which the shop's stock does not have)"


@dataclass(frozen=True)
class MoneyLine:
    """One line of a quote or an invoice.

    Parameters
    ----------
    kind
        What sort of line.
    called
        What it is called in the job or the shop file; empty where it has no name of its own.
    unit
        What is counted.
    count
        How many; None where nothing is counted. [unit]
    price
        Price of one, of an hour where minutes are counted, of the least charge where the work is made up to it.
    amount
        The line's amount, rounded.
    up_to
        The heaviest parcel of this price; None where it is not the post.
    form
        What a material without a name of its own is.
    """

    kind: LineKind
    called: str
    unit: Counted
    count: Decimal | None
    price: Decimal
    amount: Decimal
    up_to: Quantity | None = None
    form: StockForm | None = None


@dataclass(frozen=True)
class Price:
    """A price, line by line. Tax comes last.

    Parameters
    ----------
    currency
        Three letters of ISO 4217.
    lines
        Work, materials, post.
    net
        Their sum.
    tax_name, tax_share
        Name and share of the tax; empty and None where there is none.
    tax
        The tax, rounded once.
    total
        What is paid.
    """

    currency: str
    lines: tuple[MoneyLine, ...]
    net: Decimal
    tax_name: str
    tax_share: Quantity | None
    tax: Decimal
    total: Decimal


@dataclass(frozen=True)
class Quote:
    """What is foreseen, and what it costs.

    Parameters
    ----------
    operations
        Every operation that is quoted, and those of the ways not chosen.
    minutes
        What the quoted work takes in all.
    choices
        What may be repaired or made anew.
    price
        The price that holds four times in five; None without a price of the hour.
    mean_price
        The same by the mean time.
    until
        The last day on which it holds.
    unpriced
        Material of the plan that no stock of the shop's has a price for.
    past_jobs
        How many past jobs it rests on. [-]
    seed, draws
        Of the random numbers it was worked out with. [-]
    findings
        What is said of it.
    """

    operations: tuple[Foreseen, ...]
    minutes: Minutes
    choices: tuple[Choice, ...]
    price: Price | None
    mean_price: Price | None
    until: date
    unpriced: tuple[Need | StuffNeed | NotInStock, ...]
    past_jobs: int
    seed: int
    draws: int
    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Invoice:
    """An invoice.

    Parameters
    ----------
    number
        Its number.
    day, due
        Its date, and the last day to pay.
    price
        What is charged.
    paid
        What has been paid already.
    to_pay
        What is left; negative where too much was paid.
    charged
        What the work is charged by.
    """

    number: str
    day: date
    due: date
    price: Price
    paid: Decimal
    to_pay: Decimal
    charged: Charged
