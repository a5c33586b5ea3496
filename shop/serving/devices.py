"""Which system a device has, by what its browser says of itself. PURE."""

SYSTEMS = ("ios", "android", "windows", "macos", "linux")
# In this order: a later word stands in an earlier system's browsers too.
SAYS = (
    ("ios", ("iphone", "ipad", "ipod")),
    ("android", ("android",)),
    ("windows", ("windows",)),
    ("macos", ("macintosh",)),
    ("linux", ("linux", "cros", "x11")),
)


def systems_of(user_agent: str) -> tuple[str, ...]:
    """The systems that it may be: a tablet of Apple's says that it is a Mac."""
    text = user_agent.lower()
    found = next((name for name, words in SAYS if any(w in text for w in words)), "")
    if found == "macos" and "chrome" not in text and "firefox" not in text:
        return ("ios", "macos")
    return (found,) if found else ()


def in_order(user_agent: str) -> list[tuple[str, bool]]:
    """All systems, the device's own first and open."""
    own = systems_of(user_agent)
    others = tuple(name for name in SYSTEMS if name not in own)
    return [(name, name in own) for name in (*own, *others)]
