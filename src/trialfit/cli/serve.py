"""``trialfit serve``: the workshop's pages."""

from __future__ import annotations

import gc
import socket
from pathlib import Path
from threading import Timer
from typing import TYPE_CHECKING

import click

from trialfit.cli.workshop import in_workshop
from trialfit.errors import Refusal
from trialfit.store.database.place import usual_folder

if TYPE_CHECKING:
    from trialfit.app.settings import Settings
    from trialfit.store.database.workshop import Workshop

_ALONE_S = 0.5
_LOOPBACK = "127.0.0.1"
_NOBODY = "192.0.2.1"  # kept for documents (RFC 5737): asking the way to it sends nothing


@click.command()
@in_workshop
@click.option("--port", default=8417, show_default=True, type=click.IntRange(0, 65535), help="0 takes a free one.")
@click.option("--network", is_flag=True, help="Let other machines in, by the passcode.")
@click.option("--named", multiple=True, help="A further name this machine is asked by on the network.")
@click.option("--certificate", type=click.Path(path_type=Path, dir_okay=False), help="For TLS: certificate, PEM.")
@click.option("--key", type=click.Path(path_type=Path, dir_okay=False), help="For TLS: its key, PEM.")
@click.option("--examples/--no-examples", default=True, help="Whether a new workshop begins with the example jobs.")
def command(
    workshop: Path | None,
    database: str,
    port: int,
    network: bool,
    named: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
    examples: bool,
) -> None:
    """Serve the workshop's pages: on this machine alone, or with --network to the tablet at the bench too."""
    gc.disable()  # what is loaded now stays; looking for what does not would take a tenth of the start
    import uvicorn

    from trialfit.app.create import create_app
    from trialfit.app.settings import LOOPBACK_NAMES, Settings

    if (certificate is None) != (key is None):
        raise Refusal("TLS", "one of --certificate and --key", "both or neither", "Give both files.")
    folder = workshop or usual_folder()
    bound = _bound(port, network)
    port = bound.getsockname()[1]
    names = (*LOOPBACK_NAMES, *(_names(named) if network else ()))
    settings = Settings(folder, database, network, names, port, certificate is not None)
    app = create_app(settings)
    if network:
        _need_passcode(app.state.desk.workshop)
    if examples:
        _examples(app.state.desk.workshop)
    for address in _addresses(settings):
        click.echo(address)
    click.echo(f"The workshop is in {folder.resolve()}. Ctrl-C ends it; nothing that was saved is lost.")
    gc.enable()
    # The first page has it to itself; a tablet that still shows a job asks for that, and finds the rest loaded too.
    beforehand = Timer(_ALONE_S, app.state.calls.make_beforehand)
    beforehand.daemon = True
    beforehand.start()
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        ws="none",
        lifespan="off",
        timeout_keep_alive=20,
        timeout_graceful_shutdown=3,
        limit_concurrency=200,
        ssl_certfile=certificate,
        ssl_keyfile=str(key) if key else None,
    )
    uvicorn.Server(config).run(sockets=[bound])


def _bound(port: int, network: bool) -> socket.socket:
    host = "0.0.0.0" if network else _LOOPBACK
    bound = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind((host, port))
    except OSError as error:
        bound.close()
        raise Refusal(
            f"port {port}", f"{(error.strerror or 'an error').lower()}", "a port that is free",
            "It may be running already: look at its address. Or give another with --port.",
        ) from None  # fmt: skip
    bound.listen(128)  # whoever asks from now on waits, and is not turned away
    return bound


def _names(named: tuple[str, ...]) -> tuple[str, ...]:
    own = socket.gethostname().lower()
    return tuple(dict.fromkeys([own, f"{own.split('.')[0]}.local", *(each.lower() for each in named)]))


def _addresses(settings: Settings) -> list[str]:
    scheme = "https" if settings.secure else "http"
    lines = [f"On this machine: {scheme}://{_LOOPBACK}:{settings.port}/"]
    if settings.network:
        lines.append(f"On the network, by the passcode: {scheme}://{_own_address()}:{settings.port}/")
        if not settings.secure:
            lines.append("Without TLS whoever can listen in on this network can read what passes: use it on your own.")
    return lines


def _own_address() -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect((_NOBODY, 9))
            return str(way.getsockname()[0])
        except OSError:
            return socket.gethostname()


def _need_passcode(workshop: Workshop) -> None:
    from trialfit.store.database.entry import has_passcode

    if not has_passcode(workshop):
        raise Refusal(
            "--network", "no passcode set", "a workshop with a passcode",
            "Set one first: trialfit passcode, with the same --workshop.",
        )  # fmt: skip


def _examples(workshop: Workshop) -> None:
    from trialfit.app.examples import take_examples_in

    came = take_examples_in(workshop)
    if came:
        click.echo(f"A new workshop; it begins with the example jobs {', '.join(came)}.")
