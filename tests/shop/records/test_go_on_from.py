"""After a restore a series goes on behind the papers, and never back."""

from typing import Any

import pytest
from django.core.management import CommandError, call_command

from shop.people.models import Shop
from shop.records import services as records
from shop.records.models import Event, NumberSeries

pytestmark = pytest.mark.django_db


def test_it_goes_on_behind_the_papers(hollin_lane: Shop, capsys: Any) -> None:
    records.series_start(shop_id=hollin_lane.pk, kind="credit_note", first=7)
    call_command("go_on_from", "credit_note", "9")
    assert "number 10" in capsys.readouterr().out
    assert NumberSeries.objects.get(kind="credit_note").next_number == 10
    assert Event.objects.latest("id").amounts == {"from": 7, "to": 10}
    with pytest.raises(CommandError, match="never goes back"):
        call_command("go_on_from", "credit_note", "8")
    with pytest.raises(CommandError, match="No series is called letters"):
        call_command("go_on_from", "letters", "8")
