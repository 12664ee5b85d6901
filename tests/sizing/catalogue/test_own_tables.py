"""A catalogue of a club's own: what it may be, and every way a table can be wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from sizing.catalogue import Catalogue, load_catalogue
from sizing.catalogue.columns import TABLES
from sizing.errors import CatalogueError


def test_every_row_of_every_table_has_a_source(catalogue: Catalogue) -> None:
    for name in TABLES:
        table = getattr(catalogue, name)
        assert len(table.source) == len(table) > 0
        assert all(source.startswith("[") for source in table.source), name


def test_hash_follows_the_content(tmp_path: Path, catalogue: Catalogue) -> None:
    assert load_catalogue().sha256 == catalogue.sha256
    (tmp_path / "bolts.csv").write_text(
        "id,name,size_mm,pitch_mm,stress_area_mm2,source\nM8,M8,8,1.25,36.6,[own]\n"
    )
    own = load_catalogue(tmp_path)
    assert own.sha256 != catalogue.sha256
    assert own.bolts.id == ("M8",)
    assert own.ropes.id == catalogue.ropes.id


ROPES = (
    "id,name,construction,diameter_mm,circumference_in,average_strength_kip,minimum_strength_kip,stiffness_ea_kip,"
    "mass_kg_per_m,derived,source,note\n"
    "A,a,braid,10,1.2,6,5,21,0.06,no,[own],\n"
    "B,b,braid,20,2.5,23,19,81,0.25,no,[own],\n"
)


def with_ropes(folder: Path, text: str) -> Catalogue:
    (folder / "ropes.csv").write_text(text, encoding="utf-8")
    return load_catalogue(folder)


def test_a_club_may_write_its_own_units_in_the_headers(tmp_path: Path) -> None:
    text = (
        "ID,Name,Construction,Diameter (in),Circumference (mm),Average strength (kN),Minimum strength (daN),"
        "Stiffness EA [kN],Mass (lb/100ft),Derived,Source,Note\n"
        "A,a,braid,1,76,150,13000,530,26,no,[certificate],\n"
    )
    ropes = with_ropes(tmp_path, "\ufeff" + text).ropes
    assert ropes.diameter_m[0] == pytest.approx(0.0254)
    assert ropes.circumference_m[0] == pytest.approx(0.076)
    assert ropes.minimum_strength_n[0] == pytest.approx(130e3)
    assert ropes.mass_kg_per_m[0] == pytest.approx(26 * 0.45359237 / 30.48)


@pytest.mark.parametrize(
    ("old", "new", "row", "column"),
    [
        (",5,21", ",,21", "row 2", "minimum_strength_kip"),
        (",5,21", ",nan,21", "row 2", "minimum_strength_kip"),
        (",5,21", ",-5,21", "row 2", "minimum_strength_kip"),
        (",5,21", ",0,21", "row 2", "minimum_strength_kip"),
        (",5,21", ",1e3,21", "row 2", "minimum_strength_kip"),
        (",5,21", ",1_0,21", "row 2", "minimum_strength_kip"),
        (",5,21", ",５,21", "row 2", "minimum_strength_kip"),
        (",5,21", f",{'9' * 400},21", "row 2", "minimum_strength_kip"),
        (",5,21", ",7,21", "row 2", "minimum_strength"),
        ("braid,20", "braid,10", "row 3", "diameter_mm"),
        (",19,", ",4,", "row 3", "minimum_strength_kip"),
        ("0.25,no", "0.05,no", "row 3", "mass_kg_per_m"),
        ("0.25,no", "0.25,perhaps", "row 3", "derived"),
        ("B,b", "A,b", "row 3", "id"),
        ("B,b", "B b,b", "row 3", "id"),
        ("B,b", "B,", "row 3", "name"),
        ("0.25,no,[own],", "0.25,no,,", "row 3", "source"),
        ("0.25,no,[own],", "0.25,no,[own]", "row 3", "cells"),
        ("diameter_mm", "diameter", "header row", "diameter"),
        ("diameter_mm", "diameter_kg", "header row", "diameter_mm"),
        ("source,note", "origin,note", "header row", "source"),
        ("source,note", "source,source", "header row", "source"),
    ],
)
def test_a_faulty_cell_is_named_with_file_row_and_column(
    tmp_path: Path, old: str, new: str, row: str, column: str
) -> None:
    assert ROPES.count(old) == 1
    with pytest.raises(CatalogueError) as caught:
        with_ropes(tmp_path, ROPES.replace(old, new))
    message = str(caught.value)
    assert message.startswith("ropes.csv")
    assert row in caught.value.where
    assert column in message
    assert caught.value.expected
    assert caught.value.mend
    assert len(message) < 600


@pytest.mark.parametrize("text", ["", "\n", ROPES.splitlines()[0] + "\n", ROPES.replace("A,a", '"A,a')])
def test_a_table_without_rows_or_header_or_closed_quotes_is_refused(tmp_path: Path, text: str) -> None:
    with pytest.raises(CatalogueError, match=r"ropes\.csv"):
        with_ropes(tmp_path, text)


def test_a_table_with_semicolons_is_read_and_one_with_rows_above_the_header_is_not(tmp_path: Path) -> None:
    assert with_ropes(tmp_path, ROPES.replace(",", ";")).ropes.id == ("A", "B")
    with pytest.raises(CatalogueError, match="1 row above the header"):
        with_ropes(tmp_path, "Our ropes\n" + ROPES)


def test_text_that_is_not_utf8_is_refused(tmp_path: Path) -> None:
    (tmp_path / "ropes.csv").write_bytes(ROPES.replace("A,a", "A,é").encode("latin-1"))
    with pytest.raises(CatalogueError, match="UTF-8"):
        load_catalogue(tmp_path)


def test_a_missing_folder_and_a_strange_table_are_refused(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError, match="no such folder"):
        load_catalogue(tmp_path / "none")
    (tmp_path / "rope.csv").write_text(ROPES)
    with pytest.raises(CatalogueError, match=r"rope\.csv is no catalogue table"):
        load_catalogue(tmp_path)


def test_a_table_that_is_a_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "ropes.csv").mkdir()
    with pytest.raises(CatalogueError, match="cannot be read"):
        load_catalogue(tmp_path)


def test_every_rope_needs_a_thimble_and_a_sleeve(tmp_path: Path) -> None:
    with pytest.raises(CatalogueError, match=r"thimbles\.csv.*a size for every rope"):
        with_ropes(tmp_path, ROPES + "C,c,braid,200,25,2000,1800,7000,25,no,[own],\n")


CHAIN = (
    "id,name,size_mm,inside_width_mm,pitch_mm,breaking_load_kn,mass_kg_per_m,read,source,note\n"
    "C,chain,8,9.6,24,32,1.4,quoted,[own],\n"
)


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        (",quoted,", ",hearsay,", "one of published, quoted"),
        (",quoted,", ",,", "nothing is written"),
        ("inside_width_mm", "inside_width", "inside_width"),
    ],
)
def test_hardware_without_its_evidence_or_units_is_refused(
    tmp_path: Path, old: str, new: str, found: str
) -> None:
    (tmp_path / "end_weights.csv").write_text(CHAIN)
    assert load_catalogue(tmp_path).end_weights.id == ("C",)
    (tmp_path / "end_weights.csv").write_text(CHAIN.replace(old, new))
    with pytest.raises(CatalogueError, match=found):
        load_catalogue(tmp_path)


def test_a_thimble_whose_groove_is_narrower_than_its_rope_is_refused(tmp_path: Path) -> None:
    (tmp_path / "thimbles.csv").write_text(
        "id,name,thimble_type,rope_diameter_mm,groove_mm,inside_width_mm,across_mm,crown_mm,mass_kg,read,source,"
        "note\nT,thimble,solid,200,190,400,300,240,90,assumed,[own],\n"
    )
    with pytest.raises(CatalogueError, match=r"thimbles\.csv, row 2 \(T\), column groove"):
        load_catalogue(tmp_path)


def test_each_cloth_of_the_entry_sheet_stands_once(tmp_path: Path) -> None:
    (tmp_path / "cloths.csv").write_text(
        "id,name,cone_cloth,areal_mass_g_per_m2,width_m,source,note\nX,x,heavy,75,1.5,[own],\n"
    )
    with pytest.raises(CatalogueError, match="light rip-stop"):
        load_catalogue(tmp_path)


def test_an_id_belongs_to_one_part_only(tmp_path: Path) -> None:
    (tmp_path / "bags.csv").write_text("id,name,volume_l,mass_kg,source,note\nM8,bag,60,1,[own],\n")
    with pytest.raises(CatalogueError, match=r"“M8” is also in bolts\.csv"):
        load_catalogue(tmp_path)
