"""The tables of the workshop file: what is defined, what is carried out, what lies where, what was bought and said.

Quantities are whole numbers of the part's base unit (pc, mm, mg, ul), money is in millionths of the workshop's
currency, times are ISO 8601 texts in UTC, days are ISO 8601 dates. A project *defines*, a build *carries out*.
"""

from __future__ import annotations

from buildbook.store.tables.base import Row
from buildbook.store.tables.builds import Build, StepRun
from buildbook.store.tables.buying import (
    ColumnSet,
    CurrencyRate,
    Offer,
    OfferBreak,
    PricePast,
    Purchase,
    PurchaseLine,
    Supplier,
    SupplierStep,
)
from buildbook.store.tables.contacts import Contacts, ContactUse
from buildbook.store.tables.deliveries import Delivery, DeliveryLine
from buildbook.store.tables.journal import JournalChange, JournalEntry
from buildbook.store.tables.ledger import Balance, Holding, Movement, Worth
from buildbook.store.tables.log import AsBuilt, Attachment, AudienceQuestion, Entry, Episode, Mark, Shot
from buildbook.store.tables.projects import Assembly, Choice, Contains, Line, Option, Project
from buildbook.store.tables.ratings import Bank, PartRating, Stress
from buildbook.store.tables.shop import ColumnMap, Setting
from buildbook.store.tables.steps import Step, StepLine, StepNeed, StepPoint, StepQuestion, StepWaived
from buildbook.store.tables.stores import Bin, Part, PartAlias, StandIn
from buildbook.store.tables.supply import Supply, SupplyLoad
from buildbook.store.tables.testing import Reading, Snag, SnagPart, SnagTry, TestPoint

__all__ = [
    "AsBuilt",
    "Assembly",
    "Attachment",
    "AudienceQuestion",
    "Balance",
    "Bank",
    "Bin",
    "Build",
    "Choice",
    "ColumnMap",
    "ColumnSet",
    "ContactUse",
    "Contacts",
    "Contains",
    "CurrencyRate",
    "Delivery",
    "DeliveryLine",
    "Entry",
    "Episode",
    "Holding",
    "JournalChange",
    "JournalEntry",
    "Line",
    "Mark",
    "Movement",
    "Offer",
    "OfferBreak",
    "Option",
    "Part",
    "PartAlias",
    "PartRating",
    "PricePast",
    "Project",
    "Purchase",
    "PurchaseLine",
    "Reading",
    "Row",
    "Setting",
    "Shot",
    "Snag",
    "SnagPart",
    "SnagTry",
    "StandIn",
    "Step",
    "StepLine",
    "StepNeed",
    "StepPoint",
    "StepQuestion",
    "StepRun",
    "StepWaived",
    "Stress",
    "Supplier",
    "SupplierStep",
    "Supply",
    "SupplyLoad",
    "TestPoint",
    "Worth",
]
