"""What wirecheck knows: codes, device types, schemas. All raise BadInput."""

from __future__ import annotations

from typing import TYPE_CHECKING

from wirecheck.problem import BadInput, Place, Problem, meant

if TYPE_CHECKING:
    from wirecheck.design.catalogue import TypeSheet


def explain(code: str) -> str:
    """The page of a code, as Markdown."""
    from wirecheck.design.explain import codes
    from wirecheck.design.explain import explain as page

    if code in codes():
        return page(code)
    message = f"no page is called {code}.{meant(code, codes())}"
    place = Place("CODE", 1, 1, len(code))
    raise BadInput([Problem("unknown-code", message, place, (), "`wirecheck explain` lists them.")])


def codes() -> tuple[str, ...]:
    """Every code that has a page."""
    from wirecheck.design import explain as pages

    return pages.codes()


def devices() -> tuple[TypeSheet, ...]:
    """Every built-in device type."""
    from wirecheck.design.catalogue import sheets

    return tuple(sheets())


def device(name: str) -> TypeSheet:
    """One built-in device type."""
    from wirecheck.design.catalogue import sheet
    from wirecheck.design.types import built_in_names

    if name in built_in_names():
        return sheet(name)
    message = f"no device type is called {name}.{meant(name, built_in_names())}"
    place = Place("TYPE", 1, 1, len(name))
    raise BadInput([Problem("unknown-type", message, place, (), "`wirecheck devices` lists them.")])


def schemas() -> dict[str, str]:
    """File name -> text of each schema."""
    from wirecheck.design.schemas import schemas as texts
    from wirecheck.report.record import schema

    return {**texts(), schema.NAME: schema.schema()}
