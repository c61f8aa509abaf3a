"""Parses the examples that no interpreter runs here: the page's markup and script, and the sender in
PowerShell. The grammars are tree-sitter's."""

import pathlib
import sys

import tree_sitter_html
import tree_sitter_javascript
import tree_sitter_powershell
from tree_sitter import Language, Parser, Query, QueryCursor

folder = pathlib.Path(sys.argv[1])


def parsed(grammar, text):
    """The tree of a text, which must be whole."""
    language = Language(grammar.language())
    tree = Parser(language).parse(text)
    faults = QueryCursor(Query(language, "(ERROR) @fault (MISSING) @fault")).captures(tree.root_node)
    assert not faults, [(node.start_point, node.text) for node in faults.get("fault", [])]
    return tree.root_node, language


page, html = parsed(tree_sitter_html, (folder / "page.html").read_bytes())
found = QueryCursor(Query(html, "(script_element (raw_text) @script)")).captures(page)
[script] = found["script"]
calls, javascript = parsed(tree_sitter_javascript, script.text)
called = QueryCursor(Query(javascript, "(call_expression function: (identifier) @name)")).captures(calls)
assert {node.text for node in called["name"]} >= {b"fetch", b"draw", b"cell"}, called

sender, powershell = parsed(tree_sitter_powershell, (folder / "send.ps1").read_bytes())
names = QueryCursor(Query(powershell, "(command_name) @name")).captures(sender)
assert b"Invoke-RestMethod" in {node.text for node in names["name"]}, names
print("all of it")
