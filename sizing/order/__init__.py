"""From the boats' mend plans to one purchase for the fleet: pieces, cutting, packs, kits, tables.

Read `purchase` first: `build_order` tells the whole story. `kits` and `workshop` are the work, `amend` what
is in hand after deliveries. `files` makes the tables and `loft` the papers; neither is brought in here, since
an order is worked out without writing anything.
"""

from sizing.order.amend import Delivery, Handed, Stocktake, stock_in_hand
from sizing.order.choose import choose_plans
from sizing.order.consent import order_with_consent
from sizing.order.consumables import known_items
from sizing.order.kits import Kit, kits_for
from sizing.order.money import allocate
from sizing.order.pieces import pieces_for
from sizing.order.price_template import price_template
from sizing.order.prices import PriceBook, load_prices
from sizing.order.purchase import build_order
from sizing.order.stock import ClubStock
from sizing.order.workshop import workshop_plan

__all__ = [
    "ClubStock",
    "Delivery",
    "Handed",
    "Kit",
    "PriceBook",
    "Stocktake",
    "allocate",
    "build_order",
    "choose_plans",
    "kits_for",
    "known_items",
    "load_prices",
    "order_with_consent",
    "pieces_for",
    "price_template",
    "stock_in_hand",
    "workshop_plan",
]
