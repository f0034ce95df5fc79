"""The tables of statements: whole, said in words, and what other rooms may rely on."""

from __future__ import annotations

from netdsl.model.language import LINES, STATEMENTS
from netdsl.model.table import Stands, Statement
from netdsl.syntax.words import LINES_OF, USAGE
from tests.cases import each_of

ALL = [*STATEMENTS.items(), *((f"{block} line {line.keyword}", line) for block, lines in LINES.items() for line in lines)]


def test_every_statement_of_the_grammar_has_its_table() -> None:
    assert set(STATEMENTS) == set(USAGE) - set(LINES_OF)
    for block in set(LINES_OF.values()):
        keywords = {line.keyword for line in LINES[block] if line.keyword}
        assert keywords == {keyword for keyword, of in LINES_OF.items() if of == block}


@each_of(("name", "statement"), ALL)
def test_a_name_is_taken_once_in_a_statement(name: str, statement: Statement[object]) -> None:
    keys = [take.name for take in statement.takes if take.stands is Stands.KEY]
    assert len(keys) == len(set(keys)), name
    assert set(keys) == set(statement.keys)


@each_of(("name", "statement"), ALL)
def test_every_value_says_what_it_takes_and_means(name: str, statement: Statement[object]) -> None:
    assert statement.says
    for take in statement.takes:
        said = take.says + take.kind.manual
        assert take.says and take.kind.manual, f"{name}: {take.name}"
        assert not take.says.endswith(".") and "|" not in said and "\n" not in said, f"{name}: {take.name}"
        assert all(choice and " " not in choice for choice in take.kind.choices), f"{name}: {take.name}"
