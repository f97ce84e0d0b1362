"""Open the studio: write, rehearse and look after sessions in the browser."""

import argparse
import sys
from typing import TYPE_CHECKING

from everyrung.cli.arg_types import add_cluster

if TYPE_CHECKING:
    from everyrung.web.settings import Settings
    from everyrung.web.studio import Studio

EPILOG = (
    "Everything is kept under EVERYRUNG_HOME, in one SQLite file with backups beside it; EVERYRUNG_DATABASE names "
    "another database. "
    "It answers on this machine only, unless --host names a network address and a passphrase is set."
)
PORT = 8040


def arguments(parser: argparse.ArgumentParser) -> None:
    """The options of `studio`."""
    parser.add_argument("--port", type=int, default=PORT, metavar="N", help=f"where it listens (default: {PORT})")
    parser.add_argument("--host", default="127.0.0.1", metavar="ADDRESS", help="this machine's address on the network")
    parser.add_argument("--no-browser", action="store_true", help="print the address only")
    parser.add_argument("--demo", action="store_true", help="put the boathouse evening there, if nothing is yet")
    parser.add_argument("--restore", nargs="?", const="1", metavar="WHICH",
                        help="bring back a backup, by number or name (default: the newest), and end")  # fmt: skip
    parser.add_argument("--shared", action="store_true", help="other studios work on the same database and folder "
                        "(PostgreSQL: always)")  # fmt: skip
    parser.add_argument("--start-anew", action="store_true", help="set a damaged or lost database aside first")
    parser.add_argument("--set-passphrase", action="store_true", help="ask for a passphrase for use on a network")
    add_cluster(parser)


def run(args: argparse.Namespace) -> int:
    """Serves until it is stopped."""
    if args.set_passphrase:
        return _set_passphrase()
    if args.restore is not None:
        return _restore(args.restore)
    from everyrung.executors.tasks import worker_count

    workers = worker_count()
    if workers:
        print(f"Much of what is computed goes to {workers} {'worker' if workers == 1 else 'workers'} of the cluster.")
    from everyrung.store.database import database_url, open_with_backups
    from everyrung.terms.errors import require
    from everyrung.web.sharing import shared_studio
    from everyrung.web.studio import Studio

    require(1 <= args.port <= 65535, "port", "1 to 65535", args.port)
    engine, backups = open_with_backups(database_url(), start_anew=args.start_anew)
    try:
        settings = _settings(args)
        if _is_port_taken(settings):
            words = f"Port {args.port} is in use: another studio may run already. Try another --port."
            print(words, file=sys.stderr)
            return 2
        with_others = args.shared or backups is None
        make = shared_studio if with_others else Studio
        return _serve(make(settings=settings, engine=engine, backups=backups), args)
    finally:
        engine.dispose()


def _restore(which: str) -> int:
    """Puts a backup in the database's place; numbers of people hold for one database, so only their names are left."""
    from everyrung.store.backups import Backups
    from everyrung.store.database import database_file, database_url
    from everyrung.store.owners import Owners
    from everyrung.store.paths import home

    path = database_file(database_url())
    if path is None:
        print("EVERYRUNG_DATABASE names a server: its own tools (pg_dump, pg_restore) make and bring back backups.",
              file=sys.stderr)  # fmt: skip
        return 2
    backup, before = Backups(database=path).restore(which)
    Owners(home()).release()
    print(f"{backup.name} is the database now. {before}")
    return 0


def _settings(args: argparse.Namespace) -> "Settings":
    from everyrung.store.paths import home, keep_private
    from everyrung.web.settings import Settings, kept_cookie_key, kept_passphrase

    folder = home()
    keep_private(folder)
    return Settings(
        host=args.host,
        port=args.port,
        passphrase_hash=kept_passphrase(folder),
        cookie_key=kept_cookie_key(folder),
        folder=folder,
    )


def _is_port_taken(settings: "Settings") -> bool:
    import socket

    with socket.socket(socket.AF_INET6 if ":" in settings.host else socket.AF_INET) as probe:
        if sys.platform != "win32":  # there it would let two programs have one port
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((settings.host, settings.port))
        except OSError:
            return True
    return False


def _serve(studio: "Studio", args: argparse.Namespace) -> int:
    import threading
    import webbrowser

    import uvicorn

    from everyrung.web.app import app

    settings = studio.settings
    if args.demo:
        _demo(studio)
    studio.jobs.make_ready()
    print(f"The studio is at {settings.address} (stop it with Ctrl+C).", flush=True)
    if not args.no_browser:
        threading.Timer(1.0, webbrowser.open, [settings.address]).start()
    uvicorn.run(
        app(studio), host=settings.host, port=settings.port, log_level="warning", server_header=False,
        proxy_headers=False,  # or anyone on this machine could say that they come from another
    )  # fmt: skip
    return 0


def _demo(studio: "Studio") -> None:
    from everyrung.web.plan_templates import DEMO, ROOMS, room_start, start
    from everyrung.web.room_view import read_text
    from everyrung.web.save import draft

    if not (studio.sessions.all() or studio.sessions.all(in_archive=True)):
        studio.sessions.create(draft(start(DEMO), "The boathouse evening"))
        for text in map(room_start, ROOMS):
            studio.rooms.add(read_text(text).name, text)


def _set_passphrase() -> int:
    import getpass

    from everyrung.store.files import FOR_THE_COACH_ALONE, replace_bytes
    from everyrung.store.paths import home
    from everyrung.web.passphrase import Logins, hash_passphrase
    from everyrung.web.settings import passphrase_file

    first = getpass.getpass("Passphrase (12 characters or more): ")
    if first != getpass.getpass("Once more: "):
        print("The two differ; nothing was set.", file=sys.stderr)
        return 2
    replace_bytes(passphrase_file(home()), hash_passphrase(first).encode(), mode=FOR_THE_COACH_ALONE)
    Logins(home()).end_all()
    print("Set. `everyrung studio --host ADDRESS` asks for it now, everyone who was in before too.")
    return 0
