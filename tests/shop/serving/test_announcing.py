"""What the terminal says of the way in."""

import pytest

from shop.people.models import Shop
from shop.serving import announcing


@pytest.mark.django_db
def test_an_empty_shop_begins_with_its_set_up(settings: object) -> None:
    path = announcing.first_path()
    assert path.startswith("/opening/?key=")


@pytest.mark.django_db
def test_a_shop_that_is_there_begins_with_its_first_page(hollin_lane: Shop) -> None:
    assert announcing.first_path() == "/"
