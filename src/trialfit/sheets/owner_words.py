"""What the owner reads on quote, invoice, packing list and labels: every sentence in one place, by its name.

Words in braces are filled in. A sheet takes its texts from here and from nowhere else, so that another language is
another table.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

QUOTE: Mapping[str, str] = MappingProxyType(
    {
        "kind": "quote",
        "title": "What the work on {engine} costs",
        "for": "For",
        "from": "From",
        "about": "Engine",
        "until": "Holds until",
        "columns": "what|how much|price of one|amount",
        "net": "Net",
        "total": "To pay",
        "holds": "Four jobs in five like this one take no longer than this allows. You pay this price, and no more, "
        "unless we ask you first and you agree.",
        "rests": "It rests on what {jobs} past jobs took.",
        "rests_on_guess": "It rests on usual times: this bench has timed no job yet.",
        "choices": "Repair, or make anew?",
        "choice_repair": "{what}: we repair it. It fails about {fails} times in a hundred; then we make it anew, and "
        "that is in the price as often as it happens.",
        "choice_remake": "{what}: we make it anew.",
        "choice_prices": "Work on it: repairing {repair}, making anew {remake}, each four times in five.",
        "choice_strength": "The new one yields at {after} N·m of torque; the old one did at {before}.",
        "not_priced": "Not in this price: {what}.",
        "post_not_priced": "Post is not in this price yet.",
        "rounding": "Each line is rounded half up to the smallest coin of the currency; the tax is worked out once, on "
        "the sum.",
    }
)

INVOICE: Mapping[str, str] = MappingProxyType(
    {
        "kind": "invoice",
        "title": "Invoice {number}",
        "for": "For",
        "from": "From",
        "about": "Engine",
        "day": "Date of the invoice",
        "due": "Please pay by",
        "pay_to": "How to pay",
        "charged": "Charged",
        "tax_number": "Tax number",
        "columns": "what|how much|price of one|amount",
        "net": "Net",
        "total": "Total",
        "paid": "Paid already",
        "to_pay": "To pay",
        "to_give_back": "We owe you",
        "rounding": "Each line is rounded half up to the smallest coin of the currency; the tax is worked out once, on "
        "the sum.",
    }
)

PACKING: Mapping[str, str] = MappingProxyType(
    {
        "kind": "packing list",
        "title": "What is in this parcel for {engine}",
        "for": "For",
        "from": "From",
        "arrived": "Your parcel came",
        "mass": "Mass, packed",
        "mass_lacks": "about {mass}, and what was not weighed: {lacks}",
        "new": "New",
        "returned": "Yours, coming back",
        "replaced": "Replaced",
        "enclosed": "Also in the parcel",
        "not_back": "Not coming back",
        "transit": "TAKE OFF BEFORE FITTING",
        "transit_note": "only for the journey",
        "transit_line": "{count} × {what}, on {on}",
        "holds": "It holds {holds}.",
        "one_way": "Goes one way only: {way}.",
        "unlike": "Not to be changed with: {other}.",
        "joined": "Joined: {joined}.",
        "inside": "Inside: {outer}.",
        "by": "Replaced by {by}.",
        "old_returned": "The old one is in the parcel.",
        "old_scrapped": "The old one was scrapped.",
        "old_kept": "The workshop keeps the old one.",
        "scrapped": "Scrapped.",
        "kept": "The workshop keeps it.",
        "leave": "With your leave: {leave}.",
        "closed": "Every piece that came is accounted for: {came} came, {back} come back in this parcel.",
        "open": "THIS LIST DOES NOT CLOSE.",
        "missing": "{what}: nothing says what becomes of {count}.",
        "twice": "{what}: {came} came, {out} go out.",
        "no_leave": "{what}: nothing says that the owner agreed.",
        "not_whole": "Nobody has said yet that everything that came is written down.",
        "tick": "tick each as it is unpacked, and look in the wrapping before you throw it away",
        "wrong": "If something is missing or bent, fit nothing, photograph it as it lies, and write to us.",
    }
)

LABEL: Mapping[str, str] = MappingProxyType(
    {
        "bag": "BAG {bag}",
        "whole": "PARCEL",
        "owner": "of {owner}",
        "pieces": "{count} pieces",
        "one_piece": "1 piece",
        "one_way": "! one way only",
        "unlike": "! not alike",
        "unprintable": "name as in the job",
        "transit": "TAKE OFF BEFORE FITTING",
    }
)
