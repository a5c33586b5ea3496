"""What posts of the counter's pages share."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

KEY = "0123456789abcdef-{}"
PAGE = {
    "name": "Ada Pell",
    "phone": "+00 555 0142",
    "channel": "text",
    "kind": "laptop",
    "model": "Orrin 14",
    "serial": "R7-4402-118C",
    "told": "Tea went over it on Friday.",
}


@pytest.fixture
def send() -> Callable[..., Any]:
    """``send(client, url, name="Ada")``: a form posted with its key."""

    def post(client: Client, url: str, key: str = "1", **fields: object) -> Any:
        data = {"idempotency_key": KEY.format(key), **fields}
        return client.post(url, data)

    return post


@pytest.fixture
def take_in(send: Callable[..., Any]) -> Callable[..., Any]:
    """Post *Take one in*, filled as usual but for what is given."""

    def post(client: Client, **fields: object) -> Any:
        return send(client, "/counter/new/", **(PAGE | {"then": "keep"} | fields))

    return post
