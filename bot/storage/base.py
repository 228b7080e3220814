"""What every table shares: naming of constraints, and how our types are stored."""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar

from sqlalchemy import JSON, MetaData, String
from sqlalchemy.orm import DeclarativeBase

from bot.core.garden.snapshot import Around, Cover, Lay, PlaceKind, Role, Stage, SupportKind
from bot.core.warnings.hazards import Hazard, Severity, TaskKind
from bot.core.weather.ground import NightKind
from bot.storage.states import AskState, MarkKind, SendState, TaskState, WarningState
from bot.storage.types import UtcMoment, Word

NAME = 80
LINE = 200
#: In a table's `info`: no look at a garden rests on its rows, so they raise no revision.
UNSEEN = {"unseen": True}


class Base(DeclarativeBase):
    def bring_up(self, **values: object) -> None:
        """Set what differs: a row that is set to what it holds already is looked through by every flush."""
        for name, value in values.items():
            if getattr(self, name) != value:
                setattr(self, name, value)

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(column_0_label)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar = {
        datetime: UtcMoment(),
        str: String(NAME),
        dict[str, Any]: JSON(none_as_null=True),  # nothing is NULL, which queries can tell
        Lay: Word(Lay),
        Around: Word(Around),
        Role: Word(Role),
        PlaceKind: Word(PlaceKind),
        Cover: Word(Cover),
        NightKind: Word(NightKind),
        SupportKind: Word(SupportKind),
        Stage: Word(Stage),
        Hazard: Word(Hazard),
        Severity: Word(Severity),
        TaskKind: Word(TaskKind),
        WarningState: Word(WarningState),
        TaskState: Word(TaskState),
        AskState: Word(AskState),
        SendState: Word(SendState),
        MarkKind: Word(MarkKind),
    }
