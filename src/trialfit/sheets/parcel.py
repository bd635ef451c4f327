"""The packing list. What becomes of every piece was worked out before; here it is only written down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from trialfit.job.records import Job
from trialfit.job.shop import Shop
from trialfit.parcel.records import UNWEIGHED_BOX, Fate, NewPiece, ParcelAccount, PieceLine
from trialfit.sheets.bag_labels import labels_sheet
from trialfit.sheets.compile import pdf
from trialfit.sheets.heading import Paper
from trialfit.sheets.line_pictures import LinePicture, line_pictures
from trialfit.sheets.owner_head import owner_head, owner_title, signed
from trialfit.sheets.unheld import owner_name
from trialfit.sheets.words import Words, words_for


def parcel_sheets(
    job: Job,
    shop: Shop,
    account: ParcelAccount | None,
    paper: Paper = "a4",
    pictures: Mapping[str, NDArray[np.uint8]] | None = None,
) -> dict[str, bytes]:
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
    pictures
        Upright photographs by name, (height, width) grey or (height, width, 3) red, green, blue; without them the list
        shows none. [-]

    Returns
    -------
    dict
        PDF by file name; no labels where nothing lies in a bag.
    """
    if account is None:
        return {}
    card, words = job.job, words_for(job)
    small = line_pictures(job, pictures or {})
    record, title = packing_sheet(job, shop, account, paper, small), owner_title(job, words.say("packing-kind"))
    shown = {each.file: each.jpeg for each in small.values()}
    sheets = {"packing-list.pdf": pdf("packing.typ", record, title, card.date, shown)}
    labels = labels_sheet(job, shop, account, paper)
    sheets["labels.pdf"] = pdf("bag-labels.typ", labels, owner_title(job, words.say("label-kind")), card.date)
    return sheets


def packing_sheet(
    job: Job,
    shop: Shop,
    account: ParcelAccount,
    paper: Paper = "a4",
    pictures: Mapping[str, LinePicture] | None = None,
) -> dict[str, Any]:
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
    pictures
        Small pictures by the photograph's name; each stands beside the first line that names it.

    Returns
    -------
    dict
        Plain values; every number that is read stands in it as text with its unit.
    """
    words, say = words_for(job), words_for(job).say
    arrived = words.day(job.parcel.arrived) if job.parcel and job.parcel.arrived else ""
    facts = [
        [say("common-for"), owner_name(job)],
        [say("common-from"), signed(shop, words)],
        [say("packing-arrived"), arrived],
        [say("packing-mass"), _mass(account, words)],
    ]
    groups: list[dict[str, Any]] = [
        {"name": say("packing-new"), "items": [_new(job, each, words) for each in account.new]},
        {"name": say("packing-returned"), "items": _pieces(account, words, "returned")},
        {"name": say("packing-replaced"), "items": _pieces(account, words, "replaced")},
        {
            "name": say("packing-enclosed"),
            "items": [_item(each.count, each.what, [], words) for _, each in account.enclosed],
        },
        {"name": say("packing-not-back"), "items": _pieces(account, words, "scrapped", "kept")},
    ]
    _show(account, [item for group in groups for item in group["items"]], pictures or {}, words)
    title = say("packing-title", engine=job.engine.name)
    refused = any(each.kind != "ordinary" for _, each in account.enclosed)
    return {
        "head": owner_head(job, words, paper, say("packing-kind"), title, ""),
        "facts": [fact for fact in facts if fact[1]],
        "open": _open(account, words),
        "open_words": say("packing-open"),
        "transit": [
            {
                "words": say("packing-transit-line", count=words.number(each.count), what=each.what, on=each.on),
                "more": say("packing-holds", holds=each.holds) if each.holds else "",
            }
            for _, each in account.transit
        ],
        "transit_words": [say("packing-transit"), say("packing-transit-note")],
        "groups": [group for group in groups if group["items"]],
        "tick": say("packing-tick"),
        "closed": _closed(account, words),
        "wrong": say("packing-wrong"),
        "posted": say("packing-posted") if refused else "",
    }


def _show(
    account: ParcelAccount, items: list[dict[str, Any]], pictures: Mapping[str, LinePicture], words: Words
) -> None:
    """Put each picture beside the first item it shows, and point to that from the others."""
    named = {line.name: line.entry for line in account.lines}
    first: dict[str, str] = {}
    for item in items:
        line = named.get(item["line"])
        picture = None if line is None else pictures.get(line.photograph or "")
        if line is None or picture is None:
            continue
        if picture.file in first:
            seen = words.say("packing-same-picture", other=first[picture.file])
            item["more"] = " ".join(part for part in (item["more"], seen) if part)
        else:
            first[picture.file] = item["what"]
            item["picture"] = {"file": picture.file, "size": list(picture.size_mm)}


def _mass(account: ParcelAccount, words: Words) -> str:
    mass = words.mass(account.mass.value, account.mass.k2)
    if not account.mass_lacks:
        return mass
    lacks = [words.say("packing-box") if each == UNWEIGHED_BOX else each for each in account.mass_lacks]
    return words.say("packing-mass-lacks", mass=mass, lacks=", ".join(lacks))


def _new(job: Job, piece: NewPiece, words: Words) -> dict[str, Any]:
    return _item(
        piece.count,
        _called(job, piece, words),
        [words.say("packing-joined", joined=piece.joined)] if piece.joined else [],
        words,
    )


def _called(job: Job, piece: NewPiece, words: Words) -> str:
    """What the job calls it; a pipe of which it only says the name is called a pipe in the owner's words."""
    where, _, name = piece.name.partition(".")
    nameless = where == "pipes" and not job.pipes[name].what
    return words.say("packing-pipe", name=name.replace("_", " ")) if nameless else piece.what


def _item(count: int, what: str, more: list[str], words: Words, there: bool = True, line: str = "") -> dict[str, Any]:
    what = what[:1].upper() + what[1:]
    counted = f"{words.number(count)} ×"
    return {"count": counted, "what": what, "more": " ".join(more), "there": there, "line": line, "picture": None}


def _pieces(account: ParcelAccount, words: Words, *goes: str) -> list[dict[str, Any]]:
    return [
        _item(fate.count, line.entry.what, list(_more(account, line, fate, words)), words, fate.comes_back, line.name)
        for way in goes
        for line in account.lines
        for fate in line.fates
        if fate.goes == way
    ]


_OLD = {"returned": "packing-old-returned", "scrapped": "packing-old-scrapped", "kept": "packing-old-kept"}


def _more(account: ParcelAccount, line: PieceLine, fate: Fate, words: Words) -> Iterator[str]:
    named = {each.name: each.entry.what for each in account.lines}
    if fate.within:
        yield words.say("packing-inside", outer=named[fate.within])
    if fate.goes == "replaced" and fate.entry is not None:
        new = {each.name: each.what for each in account.new}
        if fate.entry.by:
            yield words.say("packing-by", by=new.get(fate.entry.by, fate.entry.by))
        if fate.entry.old is not None:
            yield words.say(_OLD[fate.entry.old])
    if fate.goes == "scrapped":
        yield words.say("packing-scrapped")
    if fate.goes == "kept":
        yield words.say("packing-kept")
    if fate.entry is not None and fate.entry.leave:
        yield words.say("packing-leave", leave=fate.entry.leave)
    if fate.comes_back and line.entry.one_way:
        yield words.say("packing-one-way", way=line.entry.one_way)
    if fate.comes_back and line.entry.unlike:
        yield words.say("packing-unlike", other=named.get(line.entry.unlike, line.entry.unlike))


def _open(account: ParcelAccount, words: Words) -> list[str]:
    lines: list[str] = []
    for line in account.lines:
        what, came = line.entry.what, line.entry.count
        if line.over < 0:
            lines.append(words.say("packing-missing", what=what, count=words.number(-line.over)))
        if line.over > 0:
            counts = {"came": words.number(came), "out": words.number(came + line.over)}
            lines.append(words.say("packing-twice", what=what, **counts))
        if any(fate.needs_leave for fate in line.fates):
            lines.append(words.say("packing-no-leave", what=what))
    if not lines and not account.closes:
        lines.append(words.say("packing-not-whole"))
    return lines


def _closed(account: ParcelAccount, words: Words) -> str:
    if not account.closes:
        return ""
    came = sum(line.entry.count for line in account.lines)
    back = sum(fate.count for line in account.lines for fate in line.fates if fate.comes_back)
    return words.say("packing-closed", came=came, back=back)
