"""Packing list and bag labels. What becomes of every piece was worked out before; here it is only written down."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from urllib.parse import quote as in_an_address

import segno

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parcel.findings import NOT_POSTED
from trialfit.parcel.records import Fate, ParcelAccount, PieceLine
from trialfit.sheets.compile import pdf
from trialfit.sheets.fonts import not_held
from trialfit.sheets.heading import Paper, head, signed
from trialfit.sheets.owner_words import LABEL, PACKING

_LONGEST_ON_LABEL = 64


def parcel_sheets(job: Job, shop: Shop, account: ParcelAccount | None, paper: Paper = "a4") -> dict[str, bytes]:
    """Set packing list and labels.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    account
        The account of the parcel, or None where the job has none.
    paper
        Size of the paper.

    Returns
    -------
    dict
        PDF by file name; no labels where nothing lies in a bag.
    """
    if account is None:
        return {}
    card = job.job
    record = packing_sheet(job, shop, account, paper)
    sheets = {"packing-list.pdf": pdf("packing.typ", record, f"{card.name}: packing list", card.date)}
    labels = labels_sheet(job, shop, account, paper)
    sheets["labels.pdf"] = pdf("bag-labels.typ", labels, f"{card.name}: labels", card.date)
    return sheets


def packing_sheet(job: Job, shop: Shop, account: ParcelAccount, paper: Paper = "a4") -> dict[str, Any]:
    """Write the packing list as a record for its template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop.
    account
        The account of the parcel.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    words = PACKING
    arrived = job.parcel.arrived.isoformat() if job.parcel and job.parcel.arrived else ""
    facts = [
        [words["for"], job.job.owner],
        [words["from"], signed(shop)],
        [words["arrived"], arrived],
        [words["mass"], _mass(account)],
    ]
    new = [
        _item(each.count, each.what, [words["joined"].format(joined=each.joined)] if each.joined else [])
        for each in account.new
    ]
    enclosed = [_item(each.count, each.what, []) for _, each in account.enclosed]
    groups: list[dict[str, Any]] = [
        {"name": words["new"], "items": new},
        {"name": words["returned"], "items": _pieces(account, "returned")},
        {"name": words["replaced"], "items": _pieces(account, "replaced")},
        {"name": words["enclosed"], "items": enclosed},
        {
            "name": words["not_back"],
            "items": [*_pieces(account, "scrapped"), *_pieces(account, "kept")],
            "no_box": True,
        },
    ]
    return {
        "head": head(job, words["kind"], words["title"].format(engine=job.engine.name), paper) | {"foot": ""},
        "facts": [fact for fact in facts if fact[1]],
        "open": _open(account),
        "open_words": words["open"],
        "transit": [
            {
                "words": words["transit_line"].format(count=each.count, what=each.what, on=each.on),
                "more": words["holds"].format(holds=each.holds) if each.holds else "",
            }
            for _, each in account.transit
        ],
        "transit_words": [words["transit"], words["transit_note"]],
        "groups": [group for group in groups if group["items"]],
        "tick": words["tick"],
        "closed": _closed(account),
        "wrong": words["wrong"],
        "posted": f"{NOT_POSTED} [common practice]" if any(e.kind != "ordinary" for _, e in account.enclosed) else "",
    }


def _mass(account: ParcelAccount) -> str:
    if account.mass_lacks:
        return PACKING["mass_lacks"].format(mass=account.mass, lacks=", ".join(account.mass_lacks))
    return str(account.mass)


def _item(count: int, what: str, more: list[str], there: bool = True) -> dict[str, Any]:
    return {"count": f"{count} ×", "what": what[:1].upper() + what[1:], "more": " ".join(more), "there": there}


def _pieces(account: ParcelAccount, goes: str) -> list[dict[str, Any]]:
    return [
        _item(fate.count, line.entry.what, list(_more(account, line, fate)), fate.comes_back)
        for line in account.lines
        for fate in line.fates
        if fate.goes == goes
    ]


def _more(account: ParcelAccount, line: PieceLine, fate: Fate) -> Iterator[str]:
    words, named = PACKING, {each.name: each.entry.what for each in account.lines}
    if fate.within:
        yield words["inside"].format(outer=named[fate.within])
    if fate.goes == "replaced" and fate.entry is not None:
        new = {each.name: each.what for each in account.new}
        if fate.entry.by:
            yield words["by"].format(by=new.get(fate.entry.by, fate.entry.by))
        yield words[f"old_{fate.entry.old}"]
    if fate.goes in ("scrapped", "kept"):
        yield words[fate.goes]
    if fate.entry is not None and fate.entry.leave:
        yield words["leave"].format(leave=fate.entry.leave)
    if fate.comes_back and line.entry.one_way:
        yield words["one_way"].format(way=line.entry.one_way)
    if fate.comes_back and line.entry.unlike:
        yield words["unlike"].format(other=named.get(line.entry.unlike, line.entry.unlike))


def _open(account: ParcelAccount) -> list[str]:
    words, lines = PACKING, []
    for line in account.lines:
        if line.over < 0:
            lines.append(words["missing"].format(what=line.entry.what, count=-line.over))
        if line.over > 0:
            out = line.entry.count + line.over
            lines.append(words["twice"].format(what=line.entry.what, came=line.entry.count, out=out))
        if any(fate.needs_leave for fate in line.fates):
            lines.append(words["no_leave"].format(what=line.entry.what))
    if not lines and not account.closes:
        lines.append(words["not_whole"])
    return lines


def _closed(account: ParcelAccount) -> str:
    if not account.closes:
        return ""
    came = sum(line.entry.count for line in account.lines)
    back = sum(fate.count for line in account.lines for fate in line.fates if fate.comes_back)
    return PACKING["closed"].format(came=came, back=back)


def labels_sheet(job: Job, shop: Shop, account: ParcelAccount, paper: Paper = "a4") -> dict[str, Any]:
    """Write the bag labels as a record for their template.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop, for where its pages answer.
    account
        The account of the parcel.
    paper
        Size of the paper.

    Returns
    -------
    dict
        Plain values: a label a bag, each with its code as a drawing of squares.
    """
    named = {line.name: line.entry for line in account.lines}
    labels = [_label(job, shop, "", LABEL["whole"], sum(entry.count for entry in named.values()), [])]
    for bag, lines in account.bags:
        warnings = []
        if any(named[name].one_way for name in lines):
            warnings.append(LABEL["one_way"])
        if any(named[name].unlike for name in lines):
            warnings.append(LABEL["unlike"])
        count = sum(named[name].count for name in lines)
        whats = [named[name].what for name in lines]
        labels.append(_label(job, shop, bag, LABEL["bag"].format(bag=_short(bag)), count, warnings, whats))
    for _, each in account.transit:
        on = f"{each.what}, on {each.on}"
        labels += [_label(job, shop, "", LABEL["transit"], 0, [], [on])] * each.count
    return {"head": head(job, "labels", "Labels for bags and parts", paper) | {"foot": ""}, "labels": labels}


def _label(
    job: Job, shop: Shop, bag: str, name: str, count: int, warnings: list[str], whats: list[str] | None = None
) -> dict[str, Any]:
    pieces = LABEL["one_piece"] if count == 1 else LABEL["pieces"].format(count=count) if count else ""
    return {
        "name": name,
        "owner": LABEL["owner"].format(owner=_short(_printable(job))),
        "job": _short(job.job.name),
        "day": job.job.date.isoformat(),
        "pieces": pieces,
        "warnings": warnings,
        "whats": _short(", ".join(whats or [])),
        "code": code_runs(address(job, shop, bag)),
    }


def _printable(job: Job) -> str:
    """The owner's name, or what the job gives for labels where the fonts do not hold its letters."""
    owner, other = job.job.owner, job.parcel.label if job.parcel else ""
    if not not_held(owner):
        return owner
    return other if other and not not_held(other) else LABEL["unprintable"]


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST_ON_LABEL else f"{text[: _LONGEST_ON_LABEL - 1]}…"


def address(job: Job, shop: Shop, bag: str = "") -> str:
    """Give what a label's code says.

    Parameters
    ----------
    job
        The job.
    shop
        The workshop: where its pages answer on its own network.
    bag
        The bag, or empty.

    Returns
    -------
    str
        An address of the shop's pages that opens the job, or without them the job's name and bag in words.
    """
    name, which = in_an_address(job.job.name, safe=""), in_an_address(bag, safe="")
    if shop.pages:
        return f"{shop.pages.rstrip('/')}/jobs/{name}" + (f"#bag-{which}" if which else "")
    return f"job {name}" + (f" bag {which}" if which else "")


def code_runs(text: str) -> dict[str, Any]:
    """Make a two-dimensional code of a text.

    Parameters
    ----------
    text
        What it says.

    Returns
    -------
    dict
        Squares along a ``side``, and dark ``runs`` as [row, first column, how many], quiet zone not counted.

    Source
    ------
    ISO/IEC 18004 by the library segno, error correction M (15 %) or better.
    """
    rows = [bytes(row) for row in segno.make(text[:500], micro=False, error="m").matrix]
    runs: list[list[int]] = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            long = next((n for n in range(len(row) - x) if not row[x + n]), len(row) - x)
            if long:
                runs.append([y, x, long])
            x += max(long, 1)
    return {"side": len(rows), "runs": runs}
