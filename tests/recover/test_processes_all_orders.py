"""Recover: the order found, against trying every order; and the rules, against a bench that is played through."""

from __future__ import annotations

import random
from itertools import combinations, permutations, product
from typing import Any

import pytest

from trialfit.job.assemblies import AssemblyEntry, Step
from trialfit.making.process_order import Rule, conflicts, find_order, reasons_there_is_none, single_changes
from trialfit.making.process_rules import rules_of

CASES = 400


def _random_rules(seed: int) -> tuple[tuple[str, ...], list[Rule]]:
    """Five to seven pieces of work, plain rules and captive nuts; about half of the cases have an order."""
    chance = random.Random(seed)
    names = tuple("abcdefg"[: chance.randint(5, 7)])
    rules = []
    for number in range(chance.randint(4, 11)):
        first, *later = chance.sample(names, chance.choice((2, 2, 3, 3, 4)))
        rules.append(Rule(first, tuple(later), f"rule {number}"))
    return names, rules


def _by_trying(names: tuple[str, ...], rules: list[Rule]) -> bool:
    return any(all(rule.is_kept_by(order) for rule in rules) for order in permutations(names))


def _by_choosing(names: tuple[str, ...], rules: list[Rule]) -> bool:
    """Another way to the same answer: choose one of each captive nut's ends, and look for a ring of precedences."""
    for choice in product(*(rule.one_of for rule in rules)):
        edges = [(rule.first, later) for rule, later in zip(rules, choice, strict=True)]
        left = set(names)
        while free := {name for name in left if not any(a in left and b == name for a, b in edges)}:
            left -= free
        if not left:
            return True
    return False


@pytest.mark.parametrize("block", range(8))
def test_an_order_is_found_just_where_trying_all_finds_one(block: int) -> None:
    found = 0
    for seed in range(block * CASES // 8, (block + 1) * CASES // 8):
        names, rules = _random_rules(seed)
        order = find_order(names, rules)
        assert (order is not None) == _by_trying(names, rules) == _by_choosing(names, rules), seed
        if order is not None:
            found += 1
            assert sorted(order) == sorted(names)
            assert all(rule.is_kept_by(order) for rule in rules)
    # The cases are worth trying only if both answers are common.
    assert 5 <= found <= 45


@pytest.mark.parametrize("seed", range(0, CASES, 4))
def test_reasons_are_as_few_as_can_be(seed: int) -> None:
    names, rules = _random_rules(seed)
    reasons = reasons_there_is_none(names, rules)
    if _by_trying(names, rules):
        assert reasons == ()
        return
    assert not _by_trying(names, list(reasons))
    for spared in reasons:
        assert _by_trying(names, [rule for rule in reasons if rule is not spared])
    fewer = (few for size in range(1, len(reasons)) for few in combinations(rules, size))
    assert all(find_order(names, few) is not None for few in fewer)
    every = conflicts(names, rules)
    left = [rule for rule in rules if not any(rule is each for conflict in every for each in conflict)]
    assert _by_trying(names, left)
    # Only a rule that every conflict needs can free it alone, and so it stands in the first.
    alone = {rule.why for rule in single_changes(names, rules)}
    assert alone == {
        rule.why for rule in rules if _by_trying(names, [each for each in rules if each is not rule])
    }  # fmt: skip


# ---- the bench, played through

_HEAT_C = {"Ag155": 660.0, "Ag145": 680.0, "Ag140": 710.0, "Sn63Pb37": 183.0}
_MELTS_C = {"Ag155": 630.0, "Ag145": 640.0, "Ag140": 650.0, "Sn63Pb37": 183.0}
_SEALS_C = {"NBR": 100.0, "FKM": 200.0, "PTFE": 260.0}
_ACID_PROOF = ("PTFE",)


def _random_assembly(seed: int) -> AssemblyEntry:
    """A tube with things on its ends and things on those: five or six pieces of work of every kind."""
    chance = random.Random(seed)
    bodies = ["tube", "cone", "stub", "cap"]
    joined = [["stub", "cap"]] if chance.random() < 0.3 else []
    kinds = [
        "silver",
        "silver",
        "soft",
        "seal",
        "seal",
        "pickle",
        "nut",
        "nut",
        "bend",
        "screw",
        "lap",
        "test",
        "anneal",
    ]
    work: dict[str, dict[str, Any]] = {}
    for number, kind in enumerate(chance.sample(kinds, chance.randint(4, 6))):
        pair = chance.sample(bodies, 2)
        end = {"end": chance.choice(("start", "end"))} if chance.random() < 0.7 else {}
        one = chance.choice(bodies)
        silver = chance.choice(("Ag155", "Ag145", "Ag140"))
        cool = {"kept_cool": [chance.choice(bodies)]} if chance.random() < 0.4 else {}
        nut = {"end": chance.choice(("start", "end"))}
        steps: dict[str, dict[str, Any]] = {
            "silver": {"do": "silver-solder", "on": pair, "filler": silver, **cool, **(end if "tube" in pair else {})},
            "soft": {"do": "soft-solder", "on": pair, "filler": "Sn63Pb37", **cool, **(end if "tube" in pair else {})},
            "seal": {"do": "fit seal", "on": one, "seal": chance.choice(("NBR", "FKM", "PTFE"))},
            "pickle": {"do": "pickle", "on": one},
            "nut": {"do": "slide on", "on": "tube", **nut},
            "bend": {"do": "bend", "on": "tube"},
            "screw": {"do": "screw together", "on": pair},
            "lap": {"do": "lap", "on": one},
            "test": {"do": "test", "on": "tube"},
            "anneal": {"do": "anneal", "on": "tube"},
        }
        work[f"w{number}"] = steps[kind]
        if number and chance.random() < 0.25:
            work[f"w{number}"]["after"] = [chance.choice(list(work)[:-1])]
    return AssemblyEntry.model_validate({"bodies": {body: {} for body in bodies}, "joined": joined, "work": work})


class _Bench:
    """What has been done so far, and whether the next piece of work spoils it."""

    def __init__(self, entry: AssemblyEntry) -> None:
        self.entry = entry
        self.joined = [set(pair) for pair in entry.joined]
        self.fitted: list[tuple[set[str], float, bool]] = []
        self.at_end: dict[str, int] = {"start": 0, "end": 0}
        self.nuts: list[str] = []
        self.bent = False
        self.done: list[str] = []

    def reached(self, start: set[str], cool: set[str]) -> set[str]:
        hot = set(start) - cool
        while more := {body for pair in self.joined if pair & hot for body in pair} - hot - cool:
            hot |= more
        return hot

    def spoils(self, name: str) -> bool:
        step = self.entry.work[name]
        on, cool = set(step.on), set(step.kept_cool)
        if any(before not in self.done for before in step.after):
            return True
        if step.do in ("silver-solder", "soft-solder", "anneal"):
            heat = 600.0 if step.filler is None else _HEAT_C[step.filler]
            hot = self.reached(on, cool)
            return any(bodies & hot and not bodies & cool and heat >= most for bodies, most, _ in self.fitted)
        if step.do == "pickle":
            wet = self.reached(on, set())
            return any(bodies & wet and not acid for bodies, _, acid in self.fitted)
        if step.do == "slide on":
            other = "end" if step.end == "start" else "start"
            own_way = not self.at_end[str(step.end)]
            far_way = not self.at_end[other] and not self.bent and other not in self.nuts
            return not (own_way or far_way)
        if step.do == "bend":
            return any(
                each.do == "anneal" and name not in each.after and other not in self.done
                for other, each in self.entry.work.items()
            )  # fmt: skip
        if step.do == "fit seal":
            late = [other for other, each in self.entry.work.items() if each.do == "lap" and set(each.on) & on]
            return any(other not in self.done for other in late)
        if step.do == "test":
            return any(other not in self.done for other, each in self.entry.work.items() if each.do != "test")
        return False

    def do(self, name: str) -> None:
        step = self.entry.work[name]
        self.done.append(name)
        self._fit(step)
        if step.do in ("silver-solder", "soft-solder", "screw together"):
            self.joined.append(set(step.on))
        if step.do == "slide on":
            self.nuts.append(str(step.end))
        elif step.end is not None:
            self.at_end[step.end] += 1
        self.bent = self.bent or step.do == "bend"

    def _fit(self, step: Step) -> None:
        on = set(step.on)
        if step.do in ("silver-solder", "soft-solder"):
            self.fitted.append((on, _MELTS_C[str(step.filler)], step.do == "silver-solder"))
        elif step.do == "fit seal":
            self.fitted.append((on, _SEALS_C[str(step.seal)], step.seal in _ACID_PROOF))
        elif step.do == "lap":
            self.fitted.append((on, 300.0, False))

    def flux_is_off(self) -> bool:
        """Every silver-soldered joint that a pickle could clean has been in it afterwards."""
        for place, name in enumerate(self.done):
            step = self.entry.work[name]
            cleans = [n for n, other in enumerate(self.done) if self._pickles(other, set(step.on))]
            if step.do == "silver-solder" and cleans and max(cleans) < place:
                return False
        return True

    def _pickles(self, name: str, bodies: set[str]) -> bool:
        step = self.entry.work[name]
        return step.do == "pickle" and bool(set(step.on) & bodies)


def _works(entry: AssemblyEntry, order: tuple[str, ...]) -> bool:
    bench = _Bench(entry)
    for name in order:
        if bench.spoils(name):
            return False
        bench.do(name)
    return bench.flux_is_off()


@pytest.mark.parametrize("block", range(6))
def test_the_rules_allow_just_the_orders_that_work_at_the_bench(block: int) -> None:
    possible = 0
    for seed in range(block * 25, (block + 1) * 25):
        entry = _random_assembly(seed)
        rules = rules_of(entry)
        works = {order for order in permutations(entry.work) if _works(entry, order)}
        kept = {order for order in permutations(entry.work) if all(rule.is_kept_by(order) for rule in rules)}
        assert kept == works, (seed, entry.work)
        order = find_order(tuple(entry.work), rules)
        assert (order in works) if works else (order is None)
        possible += bool(works)
    assert 10 <= possible <= 24
