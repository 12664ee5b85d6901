from __future__ import annotations

import dataclasses
import importlib
import pkgutil
import re
from typing import Any

import pytest
from jinja2 import Environment, UndefinedError, meta

import sitegen.pages
from sitegen.pages.standing_texts import GlossaryBlock
from sitegen.rendering import declared, environment, render
from sizing.words import Term


def page_classes() -> list[type[Any]]:
    found = []
    for module in pkgutil.iter_modules(sitegen.pages.__path__, "sitegen.pages."):
        for thing in vars(importlib.import_module(module.name)).values():
            if isinstance(thing, type) and dataclasses.is_dataclass(thing) and hasattr(thing, "template"):
                found.append(thing)
    return sorted(set(found), key=lambda c: c.__name__)


def source_of(name: str) -> str:
    environment_ = environment()
    assert environment_.loader is not None
    return environment_.loader.get_source(environment_, name)[0]


def with_parts(name: str) -> list[str]:
    """A page's template and the parts it takes in, macros apart."""
    parts = re.findall(r'include "([^"]+)"', source_of(name))
    return [name, *(inner for part in parts for inner in with_parts(part))]


@pytest.mark.parametrize("page", page_classes(), ids=lambda c: c.__name__)
def test_a_template_uses_only_what_its_page_declares(page: type[Any]) -> None:
    fields = {field.name for field in dataclasses.fields(page)}
    for name in with_parts(page.template):
        assert meta.find_undeclared_variables(environment().parse(source_of(name))) <= fields, name


@pytest.mark.parametrize("page", page_classes(), ids=lambda c: c.__name__)
def test_a_page_declares_a_template_that_is_there_and_is_frozen(page: type[Any]) -> None:
    assert source_of(page.template)
    assert page.__dataclass_params__.frozen


def test_every_template_is_of_a_page_or_taken_in_by_one() -> None:
    parts = {name for page in page_classes() for name in with_parts(page.template)}
    macros = {found for name in parts for found in re.findall(r'from "([^"]+)"', source_of(name))}
    assert set(environment().list_templates(extensions=["j2"])) == parts | macros


def test_a_name_that_is_not_there_is_an_error_and_not_a_blank() -> None:
    strict = Environment(autoescape=True, undefined=environment().undefined)
    with pytest.raises(UndefinedError):
        strict.from_string("{{ page.nothing }}").render(page=GlossaryBlock(()))


def test_text_is_escaped() -> None:
    body = render(GlossaryBlock((Term("a", "thing", {"skipper": "<b>a</b>"}, "{{ 7 * 7 }}", ()),)))
    assert "<b>a</b>" not in body
    assert "b&gt;a&lt;/b&gt;" in body
    assert "{{ 7 * 7 }}" in body


def test_only_fields_reach_a_template() -> None:
    assert set(declared(GlossaryBlock(()))) == {"terms"}


def test_templates_never_switch_escaping_off() -> None:
    for name in environment().list_templates(extensions=["j2"]):
        source = source_of(name)
        assert "|safe" not in source.replace(" ", "")
        assert "autoescape" not in source
