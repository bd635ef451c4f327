"""What is joined up wrongly: checks back to front, pumps with two suctions, sources that cannot do their duty.

Source: docs/methods/feed.md.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from trialfit.feed.outcome import Outcome, outcome_of
from trialfit.feed.records import TANK, Circuit, Source, spoken
from trialfit.feed.settings import all_settings
from trialfit.feed.sights import into
from trialfit.finding import Answer, Finding, Reason


def does_its_duty(outcome: Outcome, source: Source) -> bool:
    """Say whether a source does what it is there for in any setting.

    Parameters
    ----------
    outcome
        Every setting of the sound circuit.
    source
        The source.

    Returns
    -------
    bool
        Whether it feeds the boiler, or fills the tank where that is its duty.
    """
    driven = outcome.driven[source.name]
    return bool(driven.feeds if source.duty == "boiler" else driven.returns)


def duty_findings(circuit: Circuit, outcome: Outcome) -> Iterator[Finding]:
    """Say of each source whether it can do its duty, and if not, what is fitted wrongly.

    Parameters
    ----------
    circuit
        The circuit.
    outcome
        Every setting, sound.

    Yields
    ------
    Finding
        One a source, one a check that is back to front, one a pump with two suctions.
    """
    idle = [source for source in circuit.sources if not does_its_duty(outcome, source)]
    turned = list(_back_to_front(circuit, outcome, idle))
    yield from turned
    for source in circuit.sources:
        yield from _two_suctions(circuit, source)
        yield _duty(source, source not in idle, bool(turned), outcome)


def _duty(source: Source, does: bool, turned: bool, outcome: Outcome) -> Finding:
    name = spoken(source.name)
    aim = "feed the boiler" if source.duty == "boiler" else "fill the tank"
    draws = " with water from the tank" if source.draws else ""
    question = f"Can the {name} {aim}{draws}?"
    driven = outcome.driven[source.name]
    if does:
        count = (driven.feeds if source.duty == "boiler" else driven.returns).bit_count()
        because = Reason(f"It does in {count} of the {len(outcome.states.settings)} settings.")
        return Finding("feed", source.name, question, Answer.GO, because=(because,))
    said = (
        ("on", "no setting sets it to work", False),
        ("locks", "its water has nowhere to go", True),
        ("starved", "nothing leads from the tank to it", True),
        ("air", "it draws air", True),
        ("hot", "boiler water stands behind it", True),
        ("spills", "what it sends runs out into the open", True),
    )
    why = [words for key, words, there in said if bool(getattr(driven, key)) is there]
    reason = Reason(f"In no setting: {'; '.join(why) or 'what it sends goes back to the tank'}.")
    do = "Mend what is fitted the wrong way round." if turned else "Follow its joints in the job from port to port."
    return Finding("feed", source.name, question, Answer.STOP, because=(reason,), do=do)


def _back_to_front(circuit: Circuit, outcome: Outcome, idle: list[Source]) -> Iterator[Finding]:
    """Turn each check round by itself, and see whether that mends what does not work."""
    leaks = into(outcome, TANK, outcome.boiler)
    if not idle and leaks != outcome.states.every:
        return
    settings = all_settings(circuit)
    for n, way in enumerate(circuit.ways):
        if way.kind != "check" or way.name != way.part:
            continue
        turned = replace(way, a=way.b, b=way.a)
        other = replace(circuit, ways=(*circuit.ways[:n], turned, *circuit.ways[n + 1 :]))
        then = outcome_of(other, settings)
        mended = [spoken(source.name) for source in idle if does_its_duty(then, source)]
        stops = leaks == outcome.states.every and not into(then, TANK, then.boiler)
        if mended or stops:
            gain = (
                f"the {' and the '.join(mended)} would feed" if mended else "the boiler would not empty into the tank"
            )
            yield Finding(
                "feed", way.part, f"Is {spoken(way.part)} fitted the right way round?", Answer.STOP,
                because=(Reason(f"Its outlet is at {circuit.place(way.b)}. Turned round, {gain}."),),
                do="Turn it round, or swap its ports in the job: water enters under the ball and leaves above it.",
            )  # fmt: skip


def _two_suctions(circuit: Circuit, source: Source) -> Iterator[Finding]:
    """A barrel into which more than one check leads and none out, or the other way about."""
    if not source.draws or source.kind == "injector":
        return
    enter = [spoken(way.name) for way in circuit.ways if way.one_way and way.b == source.node]
    leave = [spoken(way.name) for way in circuit.ways if way.one_way and way.a == source.node]
    for ways, others, two, none in ((enter, leave, "suctions", "delivery"), (leave, enter, "deliveries", "suction")):
        if len(ways) > 1:
            answer = Answer.LOOK if others else Answer.STOP
            tail = f", and {'one ' + none if others else 'no ' + none}"
            yield Finding(
                "feed", source.name, f"Has the {spoken(source.name)} one suction and one delivery?", answer,
                because=(Reason(f"It has {len(ways)} {two}, {' and '.join(ways)}{tail}."),),
                do="Look which way the balls lift; turn round the check that should be its " + none + "."
                if not others else "See that it is meant so.",
            )  # fmt: skip
