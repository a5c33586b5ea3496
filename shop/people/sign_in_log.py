"""The log of sign-ins, refusals and changed factors: person numbers, nothing else.

A name as typed is never logged: people type passwords into the wrong field.
"""

import logging
from typing import Any

from allauth.mfa import signals
from django.dispatch import receiver

log = logging.getLogger("shop.people.sign_in")


@receiver(signals.authenticator_added)
@receiver(signals.authenticator_reset)
def _added(user: Any, authenticator: Any, **_signal: Any) -> None:
    log.info("person %s: %s set up", user.pk, authenticator.type)


@receiver(signals.authenticator_removed)
def _removed(authenticator: Any, **_signal: Any) -> None:
    log.info("person %s: %s ended", authenticator.user_id, authenticator.type)


@receiver(signals.authentication_failed)
def _refused(user: Any, **_signal: Any) -> None:
    log.warning("person %s: a second factor was refused", user.pk)
