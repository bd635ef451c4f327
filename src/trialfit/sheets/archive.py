"""The record of a closed job as files that can be read in thirty years without this program."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from hashlib import sha256
from html import escape

from trialfit.finding import Finding
from trialfit.job.closing import Closed
from trialfit.job.records import Job
from trialfit.sheets.heading import gravest_first

_STYLE = (
    "body{font:17px/1.5 serif;max-width:60em;margin:2em auto;padding:0 1em}table{border-collapse:collapse}"
    "td,th{border:1px solid #777;padding:.3em .6em;text-align:left;vertical-align:top;overflow-wrap:anywhere}"
    "img{max-width:100%}"
)
_HEAD = (
    '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src 'self'; "
    "style-src 'unsafe-inline'\">\n"
    '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
)
_SHOWN = (".jpg", ".jpeg", ".png", ".webp", ".svg")


def archive_files(
    job: Job, closed: Closed, findings: Sequence[Finding], contents: Mapping[str, bytes]
) -> dict[str, bytes]:
    """Add a page to read and a list of hashes to the files of a closed job.

    Parameters
    ----------
    job
        The job.
    closed
        The record of its closing.
    findings
        What the plan found.
    contents
        The files by their names in the archive: the document, photographs, plan and sheets.

    Returns
    -------
    dict
        ``index.html`` first, ``manifest.json`` last.
    """
    page = index_page(job, closed, findings, contents).encode()
    files = {"index.html": page, **contents}
    manifest = {
        "closed": asdict(closed),
        "files": [
            {"file": name, "bytes": len(made), "sha256": sha256(made).hexdigest()} for name, made in files.items()
        ],
    }
    return {**files, "manifest.json": (json.dumps(manifest, indent=2, ensure_ascii=False) + "\n").encode()}


def index_page(job: Job, closed: Closed, findings: Iterable[Finding], contents: Mapping[str, bytes]) -> str:
    """Write the page that leads to everything in the archive.

    Parameters
    ----------
    job
        The job.
    closed
        The record of its closing.
    findings
        What the plan found.
    contents
        The files by their names.

    Returns
    -------
    str
        Plain HTML: no script, nothing from elsewhere; whatever words the job holds are text.
    """
    title = escape(f"{job.job.name}, revision {closed.revision}")
    facts = [
        ("Owner", job.job.owner),
        ("Engine", job.engine.name),
        ("Working pressure", str(job.engine.working_pressure)),
        ("What happened", job.job.story),
        ("Sheets given", job.job.date.isoformat()),
        ("Closed", closed.day),
        ("Program", f"trialfit {closed.program}"),
        ("Tables", closed.tables),
    ]
    rows = "".join(f"<tr><th>{escape(name)}</th><td>{escape(words)}</td></tr>\n" for name, words in facts if words)
    found = "".join(_finding(each) for each in gravest_first(findings))
    files = "".join(f"<li>{_link(name)}</li>\n" for name in contents)
    shown = "".join(
        f'<figure><img src="{_address(name)}" alt="{escape(name)}"><figcaption>{escape(name)}</figcaption></figure>\n'
        for name in contents
        if name.startswith("photographs/") and name.lower().endswith(_SHOWN)
    )
    return (
        f"{_HEAD}<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n<h1>{title}</h1>\n"
        f"<table>\n{rows}</table>\n<h2>Files</h2>\n<ul>\n{files}<li>{_link('manifest.json')}</li>\n</ul>\n"
        f"<h2>Findings</h2>\n<ul>\n{found}</ul>\n<h2>Photographs</h2>\n{shown}</body>\n</html>\n"
    )


def _finding(finding: Finding) -> str:
    figure = "" if finding.figure is None else f" {finding.figure}"
    head = f"<strong>{finding.answer.value.upper()}</strong> {escape(f'{finding.about}: {finding.question}{figure}')}"
    because = "".join(f"<li>{escape(str(reason))}</li>" for reason in finding.because)
    do = f"<p>Do: {escape(finding.do)}</p>" if finding.do else ""
    return f"<li>{head}{f'<ul>{because}</ul>' if because else ''}{do}</li>\n"


def _link(name: str) -> str:
    return f'<a href="{_address(name)}">{escape(name)}</a>'


def _address(name: str) -> str:
    from urllib.parse import quote

    return escape(quote(name))
