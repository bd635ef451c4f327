"""The whole job in one function, read top to bottom."""

from __future__ import annotations

from dataclasses import dataclass, replace

from trialfit.errors import Refusal
from trialfit.feed.findings import worked_out
from trialfit.feed.report import FeedReport
from trialfit.finding import Answer, Finding, Reason
from trialfit.fitup.clocking_findings import Clocked, clock_all
from trialfit.fitup.ends_in_place import EndsInPlace, ends_in_place
from trialfit.fitup.ends_in_place_findings import end_findings
from trialfit.fitup.findings import pipe_findings
from trialfit.fitup.fit import Fit, fit_of
from trialfit.fitup.hand_spanner import spanners_of
from trialfit.fitup.in_place import InPlace, with_pipes, without_pipes
from trialfit.fitup.needed import needed_of
from trialfit.fitup.order.plan import orders_of
from trialfit.fitup.order.records import Order
from trialfit.fitup.records import PipePlan
from trialfit.fitup.route_findings import route_findings
from trialfit.fitup.scene import Scene
from trialfit.fitup.slide_back import slide_findings
from trialfit.fitup.tubes_in_place import pipe_thing
from trialfit.fitup.wanted import wanted_pipe
from trialfit.heat.records import HeatReport
from trialfit.heat.report import heat_findings
from trialfit.heat.seal_findings import seal_findings
from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.making.process_records import OrderOfWork
from trialfit.making.processes import orders_of_work
from trialfit.making.soft_to_set import soft_to_set
from trialfit.making.turned.plan import TurnedJob, turned_parts
from trialfit.parcel.account import parcel_of
from trialfit.parcel.records import ParcelAccount
from trialfit.parts.build import build_joints, build_parts
from trialfit.parts.joints import joint_findings, mate_all
from trialfit.parts.records import Mating, Part
from trialfit.quote.invoice import invoice_of, no_invoice
from trialfit.quote.quote import quote_of
from trialfit.quote.records import Invoice, Making, Quote
from trialfit.strength.pressure_findings import tested
from trialfit.strength.pressure_report import PressureTest
from trialfit.strength.report import BreakReport, why_broken
from trialfit.survey.ask import Foreseen, ask, ask_and_foresee
from trialfit.survey.ask_findings import ask_findings
from trialfit.survey.asks import Asked
from trialfit.survey.at_scale import Surveyed
from trialfit.survey.before_and_after import BeforeAndAfter, befores_and_afters
from trialfit.survey.findings import survey_findings
from trialfit.survey.flat_wanted import FlatWanted, flats_wanted
from trialfit.survey.gather import Sighted
from trialfit.survey.records import Survey
from trialfit.survey.same_picture import SamePicture
from trialfit.survey.solve import solved_of, written
from trialfit.survey.threads import on_one_thread


@dataclass(frozen=True)
class Plan:
    """Everything worked out for one job.

    Parameters
    ----------
    job
        The job document it came from.
    shop
        The workshop it was worked out for.
    survey
        Where the points are, or None where the job has none.
    parts
        The parts with their ports.
    matings
        Each joint, and whether it goes together.
    pipes
        The pipes that could be laid out.
    fits
        Of each of them: the chance that it drops on, the ways out, strain.
    in_place
        What stands where on the engine.
    removal, fitting
        In which order things come off before the work, and go on after it; None where nothing has to.
    clocked
        Fittings that must point somewhere.
    asked
        What would make the survey surer, or None where there is none.
    circuit
        The water circuit in every setting and under every single fault, with its pumps; None where the job has none, or
        none can be made of it.
    breaks
        Why each broken tail broke, and what the new one stands.
    turned
        The parts to be turned.
    orders
        The order of work of each assembly.
    heats
        What the torch does in each heat that can be worked out.
    tests
        The pressure tests.
    flats
        The flat prints the job calls for.
    compared
        Pieces as they came and as they go back, two photographs at one scale.
    parcel
        The parcel, in and out, or None where the job has none.
    quote
        What the work is foreseen to take and costs, or None where nothing is quoted.
    invoice
        The invoice, or None where there is none.
    findings
        Every question with its answer, those nearest to "will it go on?" first.
    """

    job: Job
    shop: Shop
    survey: Survey | None
    parts: tuple[Part, ...]
    matings: tuple[Mating, ...]
    pipes: tuple[PipePlan, ...]
    fits: tuple[Fit, ...]
    in_place: InPlace
    removal: Order | None
    fitting: Order | None
    clocked: tuple[Clocked, ...]
    asked: Asked | None
    circuit: FeedReport | None
    breaks: tuple[BreakReport, ...]
    turned: TurnedJob
    orders: tuple[OrderOfWork, ...]
    heats: tuple[HeatReport, ...]
    tests: tuple[PressureTest, ...]
    flats: tuple[FlatWanted, ...]
    compared: tuple[BeforeAndAfter, ...]
    parcel: ParcelAccount | None
    quote: Quote | None
    invoice: Invoice | None
    findings: tuple[Finding, ...]

    @property
    def scene(self) -> Scene:
        """Everything on the engine that has a place."""
        return self.in_place.scene

    @property
    def ends(self) -> EndsInPlace | None:
        """The faces its pipes go to, surveyed or as their parts stand; None where there is no survey."""
        return ends_in_place(self.job, self.parts, self.survey, self.in_place) if self.survey else None


@on_one_thread
def plan(
    job: Job,
    shop: Shop,
    sighted: Sighted | None = None,
    twice: tuple[SamePicture, ...] = (),
    bench: Sighted | None = None,
) -> Plan:
    """Work out a whole job.

    Parameters
    ----------
    job
        The job document.
    shop
        What the workshop owns and has learnt.
    sighted
        The job's photographs and the card found in them; None where it has none.
    twice
        Photographs that were sent twice.
    bench
        Photographs of pieces at the bench, and the card found in them; None where it has none.

    Returns
    -------
    Plan
        One complete record a stage, and the list of findings.

    Raises
    ------
    Refusal
        The survey cannot be solved at all, or a part has a port its kind does not have.
    """
    seen = sighted or Sighted()
    solved = solved_of(job, seen) if job.points else None
    survey = written(job, seen, solved) if solved else None
    about_survey = survey_findings(job, survey, seen, twice) if survey else ()

    parts = build_parts(job)
    matings = mate_all(build_joints(job, parts))

    stands = without_pipes(job, parts, survey)
    ends = ends_in_place(job, parts, survey, stands) if survey else None
    pipes, about_pipes = _lay_pipes(job, shop, ends, stands)
    stood = with_pipes(job, stands, pipes)
    removal, fitting = orders_of(job, stood, survey, shop, pipes)
    asked: Asked | None = None
    foreseen: tuple[Foreseen, ...] = ()
    if solved and survey:
        asked, foreseen = ask_and_foresee(job, seen, solved, needed_of(job, parts, survey, pipes, ends))
    fits = _fits(job, shop, survey, ends, pipes, foreseen) if survey and ends else ()
    clocked = clock_all(job, shop, survey)

    circuit, about_circuit = worked_out(job)
    breaks = why_broken(job)
    turned = turned_parts(job, shop)
    orders = orders_of_work(job)
    torched, about_heats = heat_findings(job, shop)
    tests, about_tests = tested(job)

    surveyed = Surveyed(seen, solved, survey) if solved and survey else None
    flats, about_flats = flats_wanted(job, surveyed)
    compared, about_compared = befores_and_afters(job, bench or Sighted(), surveyed)
    parcel = parcel_of(job, turned, pipes)
    making = Making(
        turned, pipes, orders, tests, breaks, tuple(each.name for each in clocked),
        parcel.mass.value if parcel and parcel.closes and not parcel.mass_lacks else None,
        parcel.mass_lacks if parcel else (),
    )  # fmt: skip
    quote = quote_of(job, shop, making) if job.quote else None
    invoice, about_invoice = _invoice(job, shop, quote)

    nearest_first = (
        *(finding for fit in fits for finding in fit.findings),
        *about_pipes,
        *(finding for order in (removal, fitting) if order for finding in order.findings),
        *stood.findings,
        *(each.finding for each in clocked),
        *(ask_findings(asked) if asked else ()),
        *joint_findings(matings),
        *about_circuit,
        *(finding for report in breaks for finding in report.findings),
        *turned.findings,
        *(finding for order in orders for finding in order.findings),
        *soft_to_set(job, fits),
        *about_heats,
        *seal_findings(job),
        *about_tests,
        *about_survey,
        *(parcel.findings if parcel else ()),
        *about_flats,
        *about_compared,
        *(quote.findings if quote else ()),
        *about_invoice,
    )
    return Plan(
        job, shop, survey, parts, matings, pipes, fits, stood, removal, fitting, clocked, asked, circuit, breaks,
        turned, orders, torched, tests, flats, compared, parcel, quote, invoice,
        nearest_first,
    )  # fmt: skip


@on_one_thread
def asked_of(job: Job, shop: Shop, sighted: Sighted, on_engine: frozenset[str] = frozenset()) -> Asked | None:
    """Work out what would make a job's survey surer, and nothing else.

    Parameters
    ----------
    job
        The job document.
    shop
        What the workshop owns and has learnt.
    sighted
        The job's photographs and the card found in them.
    on_engine
        Points that are on the engine although the workshop measured over them.

    Returns
    -------
    Asked or None
        None where the job has no points.

    Raises
    ------
    Refusal
        The survey cannot be solved at all.
    """
    if not job.points:
        return None
    solved = solved_of(job, sighted)
    survey, parts = written(job, sighted, solved), build_parts(job)
    stands = without_pipes(job, parts, survey)
    ends = ends_in_place(job, parts, survey, stands)
    pipes, _ = _lay_pipes(job, shop, ends, stands)
    return ask(job, sighted, solved, needed_of(job, parts, survey, pipes, ends), on_engine)


def _invoice(job: Job, shop: Shop, quote: Quote | None) -> tuple[Invoice | None, tuple[Finding, ...]]:
    if job.invoice is None:
        return None, ()
    try:
        return invoice_of(job, shop, quote), ()
    except Refusal as refusal:
        return None, (no_invoice(shop, refusal),)


def _lay_pipes(
    job: Job, shop: Shop, ends: EndsInPlace | None, stands: InPlace
) -> tuple[tuple[PipePlan, ...], tuple[Finding, ...]]:
    pipes: list[PipePlan] = []
    about_pipes: list[Finding] = []
    scene = stands.scene
    spanners = spanners_of(job, shop)
    # A pipe keeps clear of all that stands there already, and of the pipes laid out before it.
    for name, wanted in job.pipes.items():
        if ends is None:
            about_pipes.append(_without_points(name))
            continue
        try:
            laid = wanted_pipe(name, wanted, ends.parts, ends.survey, shop, scene, job.joints, spanners)
        except Refusal as refusal:
            about_pipes.append(_cannot_be_laid(name, refusal))
        else:
            pipes.append(laid)
            scene = Scene((*scene.things, pipe_thing(laid, wanted.what or name, ())))
            about_pipes += [*route_findings(laid), *slide_findings(laid), *pipe_findings(laid, shop)]
            about_pipes += end_findings(laid, ends, stands)
    return tuple(pipes), tuple(about_pipes)


def _fits(
    job: Job,
    shop: Shop,
    survey: Survey,
    ends: EndsInPlace,
    pipes: tuple[PipePlan, ...],
    foreseen: tuple[Foreseen, ...],
) -> tuple[Fit, ...]:
    surer = [(each.words, ends.surer(replace(survey, covariance_mm2=each.covariance_mm2))) for each in foreseen]
    working_mpa = float(job.engine.working_pressure.to("MPa"))
    return tuple(fit_of(pipe, ends.parts, ends.survey, shop, working_mpa, surer) for pipe in pipes)


def _without_points(name: str) -> Finding:
    return Finding(
        "fitup", f"pipe {name}", "Can the pipe be laid out?", Answer.STOP,
        because=(Reason("The job has no points, so nothing says where its ends go."),),
        do="Mark the faces at its two ends, and a point behind each, in two photographs or more.",
    )  # fmt: skip


def _cannot_be_laid(name: str, refusal: Refusal) -> Finding:
    fault = refusal.fault
    return Finding(
        "fitup", f"pipe {name}", "Can the pipe be laid out?", Answer.STOP,
        because=(Reason(f"{fault.what}: got {fault.got}, wanted {fault.wanted}."),), do=fault.remedy,
    )  # fmt: skip
