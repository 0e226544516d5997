"""Run a command in a network namespace, and tell what it tries to send out of this machine.

    unshare --map-root-user --net python tests/packets_out.py COMMAND...

The namespace has a loopback device and nothing else, and all routes lead there, so whatever the
command sends to another machine, a question for a name included, comes by and goes nowhere. Prints
a JSON list of [address, port] as its last line on standard error; ends as the command does.
"""

import json
import socket
import struct
import subprocess
import sys
import threading
import time

_ALL_PROTOCOLS = 0x0003  # ETH_P_ALL of linux/if_ether.h
_TCP, _UDP = 6, 17  # assigned protocol numbers, IANA
_DOMAIN = 53  # a look-up leaves the machine, even where the resolver itself is on it


def main() -> int:
    """Run the command, and look at every packet meanwhile."""
    for command in ("link set lo up", "route add default dev lo", "-6 route add default dev lo"):
        subprocess.run(["ip", *command.split()], check=command[0] != "-")
    sniffer = socket.socket(socket.AF_PACKET, socket.SOCK_DGRAM, socket.htons(_ALL_PROTOCOLS))
    sniffer.bind(("lo", 0))
    seen: set[tuple[str, int]] = set()

    def watch() -> None:
        while True:
            found = destination(sniffer.recv(65535))
            if found is not None and leaves(*found):
                seen.add(found)

    threading.Thread(target=watch, daemon=True).start()
    status = subprocess.call(sys.argv[1:])
    time.sleep(0.2)  # what is in the queue of the sniffer is looked at, too
    print(json.dumps(sorted(seen)), file=sys.stderr)
    return status


def destination(packet: bytes) -> tuple[str, int] | None:
    """Address and port (0: none) that an IP packet goes to; RFC 791 and RFC 8200."""
    if packet[0] >> 4 == 4:
        header, protocol = (packet[0] & 15) * 4, packet[9]
        address = socket.inet_ntop(socket.AF_INET, packet[16:20])
    elif packet[0] >> 4 == 6:
        header, protocol = 40, packet[6]
        address = socket.inet_ntop(socket.AF_INET6, packet[24:40])
    else:
        return None
    if protocol not in (_TCP, _UDP):
        return address, 0
    return address, struct.unpack("!H", packet[header + 2 : header + 4])[0]


def leaves(address: str, port: int) -> bool:
    """Whether a packet would leave the machine, or asks for a name."""
    # Neighbour discovery of IPv6 stays on the link.
    if address.startswith(("ff02:", "fe80:")):
        return False
    return port == _DOMAIN or not (address.startswith("127.") or address == "::1")


if __name__ == "__main__":
    raise SystemExit(main())
