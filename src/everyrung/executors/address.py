"""The address of the cluster that work is given to, where there is one."""

import os
import re

from everyrung.terms.errors import Invalid

VARIABLE = "EVERYRUNG_CLUSTER"
EXPECTED = "the address of a Dask scheduler, such as tcp://192.0.2.7:8786"  # an address for examples (RFC 5737)
_ADDRESS = re.compile(r"(tcp|tls)://([\w.-]+|\[[0-9a-fA-F:.]+\]):(\d{1,5})", re.ASCII)


def cluster_address() -> str | None:
    """What EVERYRUNG_CLUSTER says; None without it. Raises Invalid where it is no such address."""
    address = os.environ.get(VARIABLE, "").strip()
    return check_address(address) if address else None


def use_cluster(address: str) -> None:
    """Gives what is computed from now on, by this process and those it begins, to the cluster at `address`."""
    os.environ[VARIABLE] = check_address(address)


def check_address(address: str) -> str:
    """The address as it is. Raises Invalid when it is none."""
    match = _ADDRESS.fullmatch(address)
    if not match or not 0 < int(match[3]) < 65_536:
        remedy = "Its scheme is tcp or tls, its port the one that `dask scheduler` prints."
        raise Invalid("cluster", EXPECTED, address, remedy=remedy)
    return address


def host_and_port(address: str) -> tuple[str, int]:
    """'192.0.2.7' and 8786 of tcp://192.0.2.7:8786."""
    host, _, port = address.partition("://")[2].rpartition(":")
    return host.strip("[]"), int(port)
