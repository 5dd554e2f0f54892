"""What the documents say of the code is there."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from tankful.data.store import sources

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "tankful"
MODELS = (ROOT / "docs" / "models.md").read_text(encoding="utf-8")
GLOSSARY = (ROOT / "docs" / "glossary.md").read_text(encoding="utf-8")
PLACES = sorted(set(re.findall(r"`([a-z_/]+\.py):(\w+)`", MODELS)))
BOLD_TERM = re.compile(r"^\*\*([^*]+)\*\*", re.MULTILINE)
LINK = re.compile(r"\]\(([^)#:]+)\)")


def paragraphs(text: str) -> list[str]:
    return [part.replace("\n", " ") for part in text.split("\n\n")]


@pytest.mark.parametrize(("file", "name"), PLACES)
def test_every_function_that_the_models_point_at_exists(file, name):
    tree = ast.parse((PACKAGE / file).read_text(encoding="utf-8"))
    assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_every_model_points_at_its_code():
    for chapter in MODELS.split("\n## ")[1:]:
        assert re.search(r"`[a-z_/]+\.py:\w+`", chapter), chapter.splitlines()[0]


def test_every_source_id_that_the_models_name_is_in_the_source_table():
    lists = re.findall(r"[Ss]ource ids:?\s(.*?)(?:\.\s|$)", " ".join(paragraphs(MODELS)))
    named = {source_id for text in lists for source_id in re.findall(r"`([a-z0-9-]+)`", text)}
    assert len(named) > 40
    assert named <= set(sources())


def test_every_term_of_the_glossary_is_explained_once_and_in_order():
    terms = BOLD_TERM.findall(GLOSSARY)
    assert len(terms) > 50
    assert len(set(terms)) == len(terms)
    assert terms == sorted(terms, key=lambda term: re.sub("[^a-z]", "", term.casefold()))


@pytest.mark.parametrize("name", ["README.md", "CONTRIBUTING.md", "docs/models.md"])
def test_every_file_that_a_document_links_to_exists(name):
    document = ROOT / name
    for link in LINK.findall(document.read_text(encoding="utf-8")):
        assert (document.parent / link).exists(), link
