"""``trialfit serve``: the workshop's pages."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.option("--workshop", type=click.Path(path_type=Path, file_okay=False), help="The workshop's folder.")
@click.option("--database", default="", envvar="TRIALFIT_DATABASE", help="Address of a PostgreSQL database.")
@click.option("--port", default=8417, show_default=True, type=click.IntRange(0, 65535))
def command(workshop: Path | None, database: str, port: int) -> None:
    """Serve the workshop's pages on this machine."""
    import uvicorn

    from trialfit.app.create import create_app
    from trialfit.app.settings import Settings

    app = create_app(Settings(workshop or Path("workshop"), database, port=port))
    uvicorn.run(app, host="127.0.0.1", port=port, log_level="warning", access_log=False)
