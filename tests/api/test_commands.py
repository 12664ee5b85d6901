"""The commands about the server's data, as somebody types them."""

from __future__ import annotations

from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from api.http import server
from api.serving_commands import add_commands
from api.settings import Settings
from api.signin import Tokens
from api.storage.store import open_store
from sizing.errors import MusterError
from tests.api.running import Running

app = typer.Typer()
add_commands(app)


def run(*arguments: str | Path) -> str:
    result = CliRunner().invoke(app, [str(a) for a in arguments], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_a_token_is_made_shown_once_listed_and_revoked(tmp_path: Path) -> None:
    data = ("--data", tmp_path)
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
            run("token", "make", "X", *wrong, "--data", tmp_path)
    with pytest.raises(MusterError, match="none of this id"):
        run("token", "revoke", "t000", "--data", tmp_path)


def test_backup_verify_and_restore(on_file: Running, tmp_path: Path) -> None:
    data = on_file.server.settings.folder
    target = tmp_path / "saved.zip"
    assert "written and checked" in run("backup", target, "--data", data)
    assert "whole" in run("verify", target)
    assert "anchors agree" in run("verify", "--data", data)
    assert "restored" in run("restore", target, "--data", tmp_path / "new")
    assert "whole" in run("verify", "--data", tmp_path / "new")
    with pytest.raises(MusterError, match="holds data"):
        run("restore", target, "--data", data)


def test_a_bad_policy_is_told_before_anything_listens(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def listens(*_arguments: object) -> None:
        raise AssertionError("it listens")

    monkeypatch.setattr(server, "serve", listens)
    policy = tmp_path / "rally.toml"
    policy.write_text("[sizing]\nnonsense = 1\n")
    with pytest.raises(MusterError, match="no such key"):
        run("serve", "--policy", policy, "--data", tmp_path)
