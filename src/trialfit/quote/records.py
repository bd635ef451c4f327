"""What the quote stage takes and gives.

Source: each field by the module that fills it; `docs/methods/quote.md` gathers them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from trialfit.finding import Band, Finding
from trialfit.fitup.records import PipePlan
from trialfit.making.process_records import OrderOfWork
from trialfit.making.turned.plan import TurnedJob
from trialfit.quote.foresee import Minutes
from trialfit.quote.learn import Reach
from trialfit.strength.pressure_report import PressureTest
from trialfit.strength.report import BreakReport


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
class MoneyLine:
    """One line of a quote or an invoice.

    Parameters
    ----------
    what
        In words.
    count
        How many, in words: ``2 h 40 min``, ``0.212 m``.
    each
        Price of one, in words.
    amount
        The line's amount, rounded.
    """

    what: str
    count: str
    each: str
    amount: Decimal


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
    tax_words
        Name and share of the tax; empty where there is none.
    tax
        The tax, rounded once.
    total
        What is paid.
    """

    currency: str
    lines: tuple[MoneyLine, ...]
    net: Decimal
    tax_words: str
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
    unpriced: tuple[str, ...]
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
        What the work is charged by, in words.
    """

    number: str
    day: date
    due: date
    price: Price
    paid: Decimal
    to_pay: Decimal
    charged: str
