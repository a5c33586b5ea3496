"""The shop's name on its own network: NAME.local, by multicast DNS (RFC 6762).

Passkeys are bound to a name and not to an address, and addresses change.
"""

from collections.abc import Iterable, Sequence

from zeroconf import (  # type: ignore[attr-defined]
    AddressResolver,  # documented, but not in its __all__
    InterfaceChoice,
    ServiceInfo,
    Zeroconf,
)

from shop.serving import network
from shop.serving.certificates import Address

LOOK_FOR = 1500  # milliseconds until silence means that the name is free
SERVICE = "_https._tcp.local."


class NameTaken(Exception):
    """Another machine on the network answers to the name."""

    def __init__(self, addresses: Iterable[str]) -> None:
        super().__init__(", ".join(sorted(addresses)))


class Publisher:
    """Answers for one name until it is closed."""

    def __init__(
        self,
        name: str,
        addresses: Iterable[Address],
        port: int,
        interfaces: Sequence[str] | InterfaceChoice = InterfaceChoice.All,
    ) -> None:
        self.name, self.port = name, port
        self.addresses = tuple(addresses)
        self.network = Zeroconf(interfaces=interfaces)
        self.info: ServiceInfo | None = None

    def publish(self) -> None:
        """Raises ``NameTaken`` where somebody else has the name."""
        if others := self.owners() - {str(a) for a in network.every_address()}:
            raise NameTaken(others)
        self.info = ServiceInfo(
            SERVICE,
            f"Coldrail {self.name}.{SERVICE}",
            addresses=[address.packed for address in self.addresses],
            port=self.port,
            server=f"{self.name}.local.",
        )
        self.network.register_service(self.info, allow_name_change=True)

    def owners(self) -> set[str]:
        """The addresses for which the network gives this name now."""
        resolver = AddressResolver(f"{self.name}.local.")
        resolver.request(self.network, LOOK_FOR)
        return {address.partition("%")[0] for address in resolver.parsed_addresses()}

    def move(self, addresses: Iterable[Address]) -> None:
        """The machine has other addresses now."""
        self.addresses = tuple(addresses)
        if self.info is not None:
            self.info.addresses = [address.packed for address in self.addresses]
            self.network.update_service(self.info)

    def close(self) -> None:
        self.network.close()
