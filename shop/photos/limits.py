"""How much of a photo is taken in, and for how long it stays. PURE: constants alone.

The one place: settings, pages, script and tests read them from here.
"""

MEGA = 1_000_000

# One photo as it is sent, and how many in one go (bytes, photos).
MOST_BYTES = 25 * MEGA
MOST_AT_ONCE = 12
MOST_BODY = MOST_AT_ONCE * MOST_BYTES + MEGA

# Pixels of one photo as it is sent, by the format. Pillow holds four bytes a pixel of
# any colour picture, and its WebP decoder five such copies: each limit is what still
# fits MOST_MEMORY. A JPEG is decoded at half its size at once, but a progressive one
# is held whole in six bytes a pixel first.
MOST_PIXELS = {"JPEG": 50 * MEGA, "PNG": 24 * MEGA, "WEBP": 12 * MEGA}
MOST_PROGRESSIVE = 24 * MEGA
LONGEST_EDGE = 20_000

# The process that decodes one: its data (bytes), its time on a processor (seconds),
# and the time until it is given up on a busy machine.
MOST_MEMORY = 256 * 1024 * 1024
MOST_SECONDS = 2
MOST_WAIT = 20

# What is kept: the longest edge of the photo and of its small picture (pixels).
KEPT_EDGE = 4096
SMALL_EDGE = 360
KEPT_QUALITY, SMALL_QUALITY = 88, 80

# A link for a phone: how long it is open (minutes), how many photos it takes in all
# and within a minute, and how many wrong links an address may try within a minute.
LINK_MINUTES = 20
MOST_BY_LINK = 100
MOST_A_MINUTE = 40
MOST_WRONG = 20

# For how many days after the handover photos stay, unless the shop says otherwise.
KEPT_DAYS = 180
