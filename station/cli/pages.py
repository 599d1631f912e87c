"""Wires a desk to its listeners: the teacher's pages on loopback, the pupils' page on the school network."""

from __future__ import annotations

import socket
from dataclasses import replace
from typing import TYPE_CHECKING

from station.base.exceptions import UnusableInput
from station.views import wording_line

if TYPE_CHECKING:
    from station.views.web.desk import Desk
    from station.views.web.server import Pages


def pages_of(desk: Desk, port: int, lan_port: int | None) -> tuple[Pages, str]:
    """Return servers that are ready to run, and the address of the teacher's pages.

    Parameters
    ----------
    desk : Desk
        What the pages show.
    port : int
        Port of the teacher's pages, which answer on loopback only; 0 takes a free one.
    lan_port : int, optional
        Port of the pupils' page on all addresses; None keeps it closed.

    Raises
    ------
    UnusableInput
        A port is taken.
    """
    from station.cli.class_level import without_teams
    from station.cli.rehearsal import invented_class
    from station.views.web.codes import Codes
    from station.views.web.desk import Address
    from station.views.web.pupils import pupils_app
    from station.views.web.server import LOOPBACK, Pages, listen
    from station.views.web.teacher import teacher_app

    codes = Codes(desk.book)
    desk.tools = replace(desk.tools, class_level=without_teams, demo=invented_class)
    if port and port == lan_port:
        raise UnusableInput(wording_line.TWO_PORTS.format(port=port))
    teachers = teacher_app(desk, codes)
    own = listen(LOOPBACK, port)
    served = [(teachers, own)]
    if lan_port is not None:
        try:
            lan = listen("0.0.0.0", lan_port)
        except UnusableInput:
            own.close()
            raise
        desk.address = Address(_own_address(), lan.getsockname()[1])
        served.append((pupils_app(desk, codes), lan))
    return Pages(*served), f"http://{LOOPBACK}:{own.getsockname()[1]}/"


def _own_address() -> str:
    """Return this machine's address on its network, loopback where it has none; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        try:
            sock.connect(
                ("192.0.2.1", 9)
            )  # an address for documentation (RFC 5737); UDP connect sends nothing
            return str(sock.getsockname()[0])
        except OSError:
            return "127.0.0.1"
