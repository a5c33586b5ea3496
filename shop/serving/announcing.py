"""What ``serve`` says in the terminal: where the shop is, and how to trust it."""

import io

import segno
from cryptography import x509

from shop.opening import first_key
from shop.people.models import Shop
from shop.serving.certificates import fingerprint
from shop.serving.plan import Plan


def first_path() -> str:
    """Where a person begins: the set-up of an empty shop, else the first page.

    Once a start: a new key makes the last one void.
    """
    return first_key.first_link("") or "/"


def of_loopback(plan: Plan) -> str:
    return (
        f"\nColdrail serves this machine alone:\n\n    {plan.address}{first_path()}\n\n"
        "For tablets and other computers: serve --lan. Stop with Ctrl-C."
    )


def of_proxy(plan: Plan) -> str:
    return (
        f"\nColdrail serves a proxy on this machine at 127.0.0.1:{plan.port} "
        "(docs/running.md). Stop with Ctrl-C."
    )


def of_lan(plan: Plan, authority: x509.Certificate, *, is_published: bool) -> str:
    trust, path = plan.trust_at(best_host(plan)), first_path()
    lines = ["", "Coldrail serves the shop's network:", ""]
    if is_published:
        lines += [f"    {plan.address}{path}"]
    lines += [
        f"    {plan.address_at(str(address))}{path}"
        for address in plan.hosts.addresses
        if not address.is_loopback
    ]
    lines += [
        "",
        "Once on each tablet and computer: scan this, or open",
        "",
        f"    {trust}",
        "",
        qr_of(trust),
        "and compare this fingerprint there (SHA-256 of the shop's authority):",
        "",
        *(f"    {row}" for row in in_rows(fingerprint(authority))),
        "",
        "Stop with Ctrl-C.",
    ]
    return "\n".join(lines)


def best_host(plan: Plan) -> str:
    """An address rather than a name: every device understands it at once."""
    reachable = (str(a) for a in plan.hosts.addresses if not a.is_loopback)
    return next(reachable, plan.hosts.names[0])


def qr_of(text: str) -> str:
    out = io.StringIO()
    segno.make(text, error="m").terminal(out=out, compact=True)
    return out.getvalue()


def in_rows(groups: str, pairs: int = 8) -> list[str]:
    """So many pairs of digits a row, which a phone has room for."""
    all_pairs = groups.split()
    starts = range(0, len(all_pairs), pairs)
    return [" ".join(all_pairs[at : at + pairs]) for at in starts]


def name_of_shop() -> str:
    shop = Shop.objects.order_by("pk").first()
    return shop.name if shop else "Coldrail"
