"""The commands about the server's data, as somebody types them."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer
from sqlalchemy import Connection, select, text, update
from typer.testing import CliRunner

from api.http import server
from api.serving_commands import add_commands
from api.settings import Settings
from api.signin import Tokens
from api.signin.tokens import list_tokens
from api.storage.schema import tokens, trail
from api.storage.store import open_store
from api.trail import Head, write_anchor
from sizing.errors import MusterError
from tests.api.running import Running, quiet, running, settings

app = typer.Typer()
add_commands(app)


def run(*arguments: str | Path) -> str:
    result = CliRunner().invoke(app, [str(a) for a in arguments], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_a_token_is_made_shown_once_listed_and_revoked(tmp_path: Path) -> None:
    data = ("--out", tmp_path)
    said = run(
        "token", "make", "B. Vennor", "--role", "scrutineer", "--address", "http://10.0.0.1:8000", *data
    )
    secret = said.split("token: ")[1].split()[0]
    assert f"http://10.0.0.1:8000/dock/#{secret}" in said.replace("\n", "")
    store = open_store(Settings(tmp_path).url)
    token = Tokens(store).find(secret)
    assert token is not None
    listed = run("token", "list", *data)
    assert token.id in listed.replace("\n", "")
    assert secret not in listed
    run("token", "revoke", token.id, *data)
    assert Tokens(store).find(secret) is None
    store.close()


def test_a_mistyped_token_is_refused_with_a_sentence(tmp_path: Path) -> None:
    for wrong in (("--role", "captain"), ("--role", "skipper"), ("--role", "officer", "--days", "0")):
        with pytest.raises(MusterError, match="Expected"):
            run("token", "make", "X", *wrong, "--out", tmp_path)
    with pytest.raises(MusterError, match="none of this id"):
        run("token", "revoke", "t000", "--out", tmp_path)


def test_backup_verify_and_restore(tmp_path: Path) -> None:
    data = tmp_path / "data"
    target = tmp_path / "saved.zip"
    with running(settings(data)) as own, own.client() as officer:
        quiet(officer)  # a job that ends in between would write on
        assert "written and checked" in run("backup", target, "--out", data)
        assert "whole" in run("verify", target)
        assert "anchors agree" in run("verify", "--out", data)
        assert "restored" in run("restore", target, "--out", tmp_path / "new")
        assert "whole" in run("verify", "--out", tmp_path / "new")
        with pytest.raises(MusterError, match="holds data"):
            run("restore", target, "--out", data)


def test_a_folder_of_an_export_is_taken_as_a_backup_is(on_file: Running, tmp_path: Path) -> None:
    with on_file.client() as officer:
        on_file.settle(officer)
    run("export", tmp_path / "out", "--out", on_file.server.settings.folder)
    assert "whole" in run("verify", tmp_path / "out")
    assert "restored" in run("restore", tmp_path / "out", "--out", tmp_path / "new")
    assert "1 anchor agrees" in run("verify", "--out", tmp_path / "new")
    Settings(tmp_path / "new").anchors.unlink()
    said = " ".join(run("verify", "--out", tmp_path / "new").split())
    assert "a cut end would not show" in said


def test_a_bad_policy_is_told_before_anything_listens(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def listens(*_arguments: object) -> None:
        raise AssertionError("it listens")

    monkeypatch.setattr(server, "serve", listens)
    policy = tmp_path / "rally.toml"
    policy.write_text("[sizing]\nnonsense = 1\n")
    with pytest.raises(MusterError, match="no such key"):
        run("serve", "--policy", policy, "--out", tmp_path)


def test_tokens_of_every_role_are_made_listed_and_told_when_they_end(on_file: Running) -> None:
    data = ("--out", on_file.server.settings.folder)
    for role in ("officer", "scrutineer", "chandlery"):
        assert "token: dm_" in run("token", "make", f"A. {role}", "--role", role, *data)
    boat = ("--role", "skipper", "--fleet", on_file.fleet, "--entry")
    assert "note:" not in run("token", "make", "A. skipper", *boat, " 001 ", *data)
    assert "no accepted boat of entry" in run("token", "make", "A. nobody", *boat, "077", *data)
    listed = run("token", "list", *data)
    row = next(row for row in list_tokens(on_file.server.store) if row["label"] == "A. scrutineer")
    assert str(row["id"]) in listed
    assert "never used" in listed
    on_file.server.store.write(
        lambda c: c.execute(
            update(tokens).where(tokens.c.id == row["id"]).values(expires_at="2026-01-02T03:04:05.000000Z")
        )
    )
    assert "expired 2026-01-02 03:04 UTC" in " ".join(run("token", "list", *data).split())
    assert run("token", "revoke", str(row["id"]), *data) == "revoked\n"
    records = count_of(on_file, "token.revoked")
    assert "revoked before" in run("token", "revoke", str(row["id"]), *data)
    assert count_of(on_file, "token.revoked") == records


def count_of(up: Running, action: str) -> int:
    with up.server.store.read() as connection:
        return len(connection.execute(select(trail.c.seq).where(trail.c.action == action)).all())


@pytest.mark.parametrize(
    "command", [("token", "list"), ("token", "revoke", "t1"), ("backup", "saved.zip"), ("verify",)]
)
def test_a_mistyped_folder_is_told_and_nothing_is_made_in_it(
    tmp_path: Path, command: tuple[str, ...]
) -> None:
    """An empty database there would be whole, and verify would say so."""
    with pytest.raises(MusterError, match="no season of this program"):
        run(*command, "--out", tmp_path / "mistyped")
    assert not (tmp_path / "mistyped").exists()


def test_an_empty_database_has_nothing_to_verify(url: str, tmp_path: Path) -> None:
    with pytest.raises(MusterError, match="no season of this program"):
        run("verify", "--out", tmp_path, "--database", url)


def test_data_and_backups_are_for_their_owner_alone(on_file: Running, tmp_path: Path) -> None:
    """They hold the skippers' addresses."""
    run("backup", tmp_path / "saved.zip", "--out", on_file.server.settings.folder)
    for path in (tmp_path / "saved.zip", *on_file.server.settings.folder.glob("*.sqlite*")):
        assert path.stat().st_mode & 0o077 == 0, path.name


@pytest.mark.thorough
def test_a_restored_server_makes_the_sites_anew(on_file: Running, tmp_path: Path) -> None:
    """Also where a backup of one kind of database goes into the other."""
    run("backup", tmp_path / "saved.zip", "--out", on_file.server.settings.folder)
    run("restore", tmp_path / "saved.zip", "--out", tmp_path / "new")
    with running(settings(tmp_path / "new"), loaded=False) as up, up.client() as officer:
        quiet(officer)
        assert officer.get(f"/site/{on_file.fleet}/").status_code == 200
        assert officer.get(on_file.boat("001")).json()["entry_no"] == "001"


def test_a_restore_that_is_refused_leaves_nothing_and_says_why(on_file: Running, tmp_path: Path) -> None:
    """What is no backup, what is not there, and what is older than the data it would replace."""
    (tmp_path / "text.zip").write_text("no backup")
    for name, told in (("text.zip", "cannot be read as a backup"), ("none.zip", "no such file")):
        with pytest.raises(MusterError, match=told):
            run("restore", tmp_path / name, "--out", tmp_path / "new")
        assert not (tmp_path / "new").exists()
    run("backup", tmp_path / "saved.zip", "--out", on_file.server.settings.folder)
    lost = tmp_path / "lost"
    write_anchor(Settings(lost).anchors, Head(1_000_000, "a" * 64))
    with pytest.raises(MusterError, match="new folder") as refused:
        run("restore", tmp_path / "saved.zip", "--out", lost)
    assert "record 1000000" in str(refused.value)
    assert not (lost / "season.sqlite").exists()


EDITED = "UPDATE trail SET who = 'somebody else' WHERE seq = 3"
TAKEN_OUT = "DELETE FROM trail WHERE seq = 3"
CUT = ("DELETE FROM trail WHERE seq > 4",
       "UPDATE trail_head SET seq = 4, hash = (SELECT hash FROM trail WHERE seq = 4)")  # fmt: skip


@pytest.mark.parametrize(
    ("statements", "told"),
    [((EDITED,), "record 3 was changed"), ((TAKEN_OUT,), "record 3 is missing"), (CUT, "the end was cut")],
)
def test_verify_finds_what_was_done_behind_the_programs_back(
    on_file: Running, tmp_path: Path, url: str, statements: tuple[str, ...], told: str
) -> None:
    """By somebody who can write to the database itself, and took its guards away."""
    run("backup", tmp_path / "saved.zip", "--out", on_file.server.settings.folder)
    run("restore", tmp_path / "saved.zip", "--out", tmp_path, "--database", url)
    assert "whole" in run("verify", "--out", tmp_path, "--database", url)
    store = open_store(url)
    guards = ("DROP TRIGGER trail_no_update", "DROP TRIGGER trail_no_delete")
    if not store.is_sqlite:
        guards = ("DROP TRIGGER trail_append_only ON trail",)  # type: ignore[assignment]

    def write(connection: Connection) -> None:
        for statement in (*guards, *statements):
            connection.execute(text(statement))

    store.write(write)
    store.close()
    with pytest.raises(MusterError, match=told):
        run("verify", "--out", tmp_path, "--database", url)
    with pytest.raises(MusterError, match="audit trail"):
        run("backup", tmp_path / "more.zip", "--out", tmp_path, "--database", url)
