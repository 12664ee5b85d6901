"""Price books for the tests, read by the program's own reader."""

from __future__ import annotations

from sizing.catalogue import load_catalogue
from sizing.order.consumables import known_items
from sizing.order.prices import PriceBook, parse_prices

KNOWN = known_items(load_catalogue())

PLAIN = """item,description,kind,unit,pack_size,pack_price,currency,supplier,lead_days,minimum_packs
NDB-16,,rope,m,100,212.50,EUR,Quay Ropes,10,
NDB-16,,rope,m,200,399.00,EUR,Quay Ropes,10,
NDB-20,,rope,m,100,318.35,EUR,Quay Ropes,10,
NDB-20,,rope,m,220,671.10,EUR,Far Ropes,40,2
TAPE-16,,tape,m,100,21.99,EUR,Loft Supply,5,
TAPE-16,,tape,m,50,12.10,EUR,Loft Supply,5,
RIP-1.5,,cloth,m,50,188.00,EUR,Loft Supply,5,
RIP-1.5,,cloth,m,10,41.33,EUR,Loft Supply,5,
RIP-2.2,,cloth,m,10,55.55,EUR,Loft Supply,5,
CHN-12,,chain,m,30,236.70,EUR,Quay Iron,3,
CHF-20,,sleeve,m,30,77.77,EUR,Quay Ropes,10,
THM-16,,thimble,piece,10,29.90,EUR,Quay Iron,3,
THM-16,,thimble,piece,1,3.45,EUR,Quay Iron,3,
THM-20,,thimble,piece,25,101.01,EUR,Quay Iron,3,4
THM-20,,thimble,piece,4,17.30,EUR,Near Iron,1,
SHB-1.5t,,shackle,piece,1,11.11,EUR,Quay Iron,3,
SHB-3.25t,,shackle,piece,1,23.45,EUR,Quay Iron,3,
SHB-6.5t,,shackle,piece,1,45.67,EUR,Quay Iron,3,
SHB-8.5t,,shackle,piece,1,56.78,EUR,Quay Iron,3,
BAG-90,,bag,piece,1,24.00,EUR,Loft Supply,5,
THREAD-SEW,,thread,m,1000,13.37,EUR,Loft Supply,5,
TAPE-BASTE,,basting tape,m,20,6.66,EUR,Loft Supply,5,
TWINE-WHIP,,thread,m,180,9.99,EUR,Loft Supply,5,
WIRE-SEIZE,,wire,m,10,4.04,EUR,Quay Iron,3,
LABEL-BAG,,label,piece,50,7.07,EUR,Loft Supply,5,
"""


def book(text: str = PLAIN) -> PriceBook:
    """The text as a price book called prices.csv."""
    return parse_prices(text.encode(), "prices.csv", KNOWN)
