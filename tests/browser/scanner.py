"""A scanner of keyboard type, as the browser sees it: keys, and how fast.

``layout`` is the tablet's: the keys are those of a US keyboard, the signs what that
layout makes of them (xkeyboard-config, symbols/fr and de).
"""

import time

from playwright.sync_api import Page

# What the key of a US sign types on other layouts, unshifted; digits and letters.
ON_LAYOUT: dict[str, dict[str, str]] = {
    "us": {},
    "fr": dict(zip("1234567890-aqzwm", "&é\"'(-è_çà)qawz,", strict=True)),
    "de": {"y": "z", "z": "y", "-": "ß"},
}
VIRTUAL_SHIFT = 8
A_SIGN = 0.005
# Only these do anything when they come up again, to a browser and to our scripts; each
# event is a way to the browser and back, and a scan of a page has some hundred.
ACTS_WHEN_LET_GO = {" ", "Enter", "Tab"}


def scan(page: Page, text: str, *, layout: str = "us", end: str = "Enter") -> None:
    """Type ``text`` at 5 ms a character, then Enter (or Tab)."""
    session = page.context.new_cdp_session(page)
    begun = time.time()
    for at, sign in enumerate([*text, end]):
        # The event's own moment, so that a busy machine can't stretch the scan.
        moment = {"timestamp": begun + at * A_SIGN}
        session.send("Input.dispatchKeyEvent", pressed(sign, layout) | moment)
        if sign in ACTS_WHEN_LET_GO:
            let_go = pressed(sign, layout, up=True)
            session.send("Input.dispatchKeyEvent", let_go | moment)
    session.detach()


def pressed(sign: str, layout: str, *, up: bool = False) -> dict[str, object]:
    event: dict[str, object] = {"type": "keyUp" if up else "keyDown"}
    if sign in {"Enter", "Tab"}:
        number = 13 if sign == "Enter" else 9
        event |= {"key": sign, "code": sign, "windowsVirtualKeyCode": number}
        if sign == "Enter" and not up:
            event["text"] = "\r"
        return event
    small = sign.lower()
    typed = ON_LAYOUT[layout].get(small, small)
    if sign.isupper():
        typed = typed.upper()
        event["modifiers"] = VIRTUAL_SHIFT
    event |= {"key": typed, "code": code_of(small)}
    event["windowsVirtualKeyCode"] = ord(small.upper()) if small.isalnum() else 0
    if not up:
        event |= {"text": typed, "unmodifiedText": typed}
    return event


def code_of(sign: str) -> str:
    if sign.isdigit():
        return f"Digit{sign}"
    if sign == " ":
        return "Space"
    return "Minus" if sign == "-" else f"Key{sign.upper()}"
