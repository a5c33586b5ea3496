"""One run of the shop's server, from the sockets to the last process."""

import logging
import signal
import socket
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from django.conf import settings
from django.db import connections
from django.utils import timezone

from shop.serving import announcing, keeping, network
from shop.serving.certificates import Hosts, NothingAllowed
from shop.serving.keeping import AuthorityLost, Kept
from shop.serving.network import CannotListen
from shop.serving.plan import Plan
from shop.serving.publishing import NameTaken, Publisher
from shop.serving.supervising import Supervisor

log = logging.getLogger("shop.serving")

# How often addresses and the certificate's end are looked at (seconds).
LOOK_EVERY = 60.0
LOST = (
    "The key of the shop's certificate authority in {folder} is missing or damaged. "
    "Tablets that trust the authority go on trusting it, but no new certificate can "
    "be made.\nPut the file authority.pem back from a backup; or make a new authority "
    "with serve --lan --new-authority, and let every device trust that one."
)


class NotServed(Exception):
    """Why nothing is served, in words for the person who typed the command."""


@dataclass(frozen=True)
class Wish:
    """What the person asked for."""

    served: str
    port: int
    trust_port: int
    name: str
    is_published: bool
    workers: int
    has_jobs: bool
    new_authority: bool

    @property
    def is_lan(self) -> bool:
        return self.served == "lan"


class Server:
    """Holds the sockets, the certificates, the name and the processes."""

    def __init__(self, wish: Wish, web: Path, say: Callable[[str], None]) -> None:
        self.wish, self.web, self.say = wish, web, say
        self.publisher: Publisher | None = None
        self.certificates: Kept | None = None
        self.shop_name = ""
        self.has_spoken = False
        self.next_look = time.monotonic() + LOOK_EVERY
        is_needed = wish.is_lan and not wish.new_authority
        if is_needed and keeping.has_lost_authority(settings.TLS_DIR):
            raise NotServed(LOST.format(folder=settings.TLS_DIR))
        self.sockets = self._sockets()
        self.plan = self._plan(self._hosts() if wish.is_lan else Hosts((), ()))

    def _hosts(self) -> Hosts:
        return network.hosts_for(self.wish.name, settings.ALLOWED_HOSTS)

    def _sockets(self) -> list[socket.socket]:
        wish = self.wish
        try:
            found = [network.listen(wish.port, everywhere=wish.is_lan)]
            if wish.is_lan:
                found.append(network.listen(wish.trust_port, everywhere=True))
        except CannotListen as reason:
            raise NotServed(str(reason)) from reason
        return found

    def _plan(self, hosts: Hosts) -> Plan:
        wish = self.wish
        plan = Plan(
            served=wish.served,
            port=wish.port,
            web=self.web,
            shop_socket=self.sockets[0].fileno(),
            workers=wish.workers,
            hosts=hosts,
            has_jobs=wish.has_jobs,
        )
        if not wish.is_lan:
            return plan
        trust = self.sockets[1].fileno()
        return replace(plan, trust_port=wish.trust_port, trust_socket=trust)

    def run(self) -> int:
        """Serve until told to stop; the exit code."""
        self.shop_name = announcing.name_of_shop()
        connections.close_all()  # the processes have their own
        try:
            if self.wish.is_lan:
                self._keep_certificates(new_authority=self.wish.new_authority)
                self._publish()
            self.supervisor = Supervisor(self.plan.parts())
            self.supervisor.catch_signals()
            return self.supervisor.run(self._turn)
        finally:
            self.close()

    def close(self) -> None:
        if self.publisher is not None:
            self.publisher.close()
        for one in self.sockets:
            one.close()

    def _keep_certificates(self, *, new_authority: bool = False) -> Kept:
        try:
            kept = keeping.keep(
                settings.TLS_DIR,
                self.plan.hosts,
                timezone.now(),
                shop=self.shop_name,
                new_authority=new_authority,
            )
        except AuthorityLost as reason:
            raise NotServed(LOST.format(folder=settings.TLS_DIR)) from reason
        except NothingAllowed as reason:
            raise NotServed(
                "The shop's authority may not vouch for any name of this machine. "
                "Make a new one: serve --lan --new-authority."
            ) from reason
        if kept.left_out:
            self.say(
                "Not in the certificate, because the shop's authority was made "
                f"without them: {', '.join(kept.left_out)}."
            )
        self.certificates = kept
        return kept

    def _publish(self) -> None:
        if not self.wish.is_published:
            return
        own = [a for a in self.plan.hosts.addresses if not a.is_loopback]
        name = self.wish.name
        try:
            self.publisher = Publisher(name, own, self.wish.port)
            self.publisher.publish()
        except NameTaken as taken:
            raise NotServed(
                f"{name}.local is taken on this network, by {taken}. Take another "
                "name: serve --lan --name bench."
            ) from taken
        except OSError as reason:
            self.publisher = None
            self.say(
                f"The name {name}.local cannot be published ({reason.strerror}): "
                "only addresses lead here, and passkeys need a name."
            )

    def _turn(self) -> None:
        """At each turn of the watch: speak once the workers listen; then look."""
        if not self.has_spoken and answers(self.web):
            self.has_spoken = True
            self.say(self._words())
        if self.wish.is_lan and time.monotonic() >= self.next_look:
            self.next_look = time.monotonic() + LOOK_EVERY
            self.look()

    def look(self) -> None:
        """Follow changed addresses, and renew the certificate in time."""
        hosts = self._hosts()
        has_moved = hosts != self.plan.hosts
        if has_moved:
            self.plan = replace(self.plan, hosts=hosts)
        try:
            kept = self._keep_certificates()
        except NotServed as reason:
            log.error("%s", reason)
            return
        if has_moved:
            self._move()
        elif kept.renewed:
            log.warning("The certificate was made anew (%s).", kept.renewed)
            self.supervisor.named("front").tell(signal.SIGHUP)

    def _move(self) -> None:
        log.warning("This machine's addresses have changed.")
        for part in (self.plan.workers_part(), self.plan.front()):
            self.supervisor.replace(part)
        if self.publisher is not None:
            own = [a for a in self.plan.hosts.addresses if not a.is_loopback]
            self.publisher.move(own)

    def _words(self) -> str:
        if self.certificates is None:
            served = self.wish.served
            words = announcing.of_loopback if served else announcing.of_proxy
            return words(self.plan)
        return announcing.of_lan(
            self.plan,
            self.certificates.authority,
            is_published=self.publisher is not None,
        )


def answers(web: Path) -> bool:
    """Whether the workers listen."""
    with socket.socket(socket.AF_UNIX) as ear:
        try:
            ear.connect(str(web))
        except OSError:
            return False
    return True
