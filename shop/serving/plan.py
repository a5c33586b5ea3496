"""What ``serve`` starts, and with which surroundings, for each way of serving."""

import os
import sys
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings

from shop.serving.certificates import Hosts
from shop.serving.keeping import Place
from shop.serving.supervising import ROOT, Part


@dataclass(frozen=True)
class Plan:
    """One way of serving. ``trust_port`` is 0 where there is no TLS of ours."""

    served: str  # "loopback", "lan" or "" behind a proxy: settings.SERVED
    port: int
    web: Path  # the workers' Unix socket
    shop_socket: int
    workers: int
    hosts: Hosts = field(default_factory=lambda: Hosts((), ()))
    trust_port: int = 0
    trust_socket: int = -1
    has_jobs: bool = True

    @property
    def is_lan(self) -> bool:
        return self.served == "lan"

    @property
    def address(self) -> str:
        """Where a person finds the shop."""
        if not self.is_lan:
            return f"http://127.0.0.1:{self.port}"
        return self.address_at(self.hosts.names[0])

    def address_at(self, host: str) -> str:
        port = "" if self.port == 443 else f":{self.port}"
        return f"https://{in_address(host)}{port}"

    def trust_at(self, host: str) -> str:
        port = "" if self.trust_port == 80 else f":{self.trust_port}"
        return f"http://{in_address(host)}{port}/trust/"

    def surroundings(self) -> dict[str, str]:
        """What the workers and the jobs read in their environment."""
        found = {
            "COLDRAIL_PROFILE": "production",
            "COLDRAIL_DATA": str(settings.DATA_DIR.resolve()),
            "COLDRAIL_SERVED": self.served,
        }
        if not self.served:
            return found | {"TRUST_PROXY_TLS_HEADER": "true"}
        if "SHOP_ADDRESS" not in os.environ:
            found["SHOP_ADDRESS"] = self.address
        if self.is_lan:
            own = [in_address(word) for word in self.hosts.words()]
            found["ALLOWED_HOSTS"] = ",".join([*own, *settings.ALLOWED_HOSTS])
        return found

    def parts(self) -> list[Part]:
        """The first is stopped last: the front lets go of the workers before."""
        jobs = [self.jobs()] if self.has_jobs else []
        return [self.workers_part(), *jobs, self.front()]

    def workers_part(self) -> Part:
        command = [sys.executable, "-m", "gunicorn", "shop.wsgi"]
        rules = ["-c", "python:shop.serving.worker_settings"]
        options = ["--bind", f"unix:{self.web}", "--workers", str(self.workers)]
        return Part("web", [*command, *rules, *options], self.surroundings())

    def jobs(self) -> Part:
        command = [sys.executable, str(ROOT / "manage.py"), "jobs"]
        return Part("jobs", command, self.surroundings(), vital=False)

    def front(self) -> Part:
        command = [sys.executable, "-m", "shop.serving.front_process"]
        options = ["--web", str(self.web), "--shop", str(self.shop_socket)]
        handed = [self.shop_socket]
        if self.is_lan:
            hosts = ",".join(self.hosts.words())
            certificate = str(Place(settings.TLS_DIR).leaf)
            options += ["--trust", str(self.trust_socket), "--hosts", hosts]
            options += ["--certificate", certificate, "--https-port", str(self.port)]
            handed.append(self.trust_socket)
        return Part("front", [*command, *options], handed=tuple(handed))


def in_address(host: str) -> str:
    """An IPv6 address stands in brackets."""
    return f"[{host}]" if ":" in host else host
