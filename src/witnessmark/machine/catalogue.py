"""Every complaint there is: its code, what is wrong, what to do.

Words in braces are facts that whoever complains must give.
"""

from __future__ import annotations

from collections.abc import Mapping

CATALOGUE: Mapping[str, tuple[str, str]] = {
    # The file as a whole
    "unreadable-file": (
        "'{path}' cannot be read, {reason}",
        "check the name and whether you may read it",
    ),
    "file-empty": ("the file is empty", "begin it with 'witnessmark: 1' and 'machine: SOME-NAME'"),
    "file-too-big": (
        "the file has {size} bytes, more than the {limit} that are read",
        "split it into files that include one another, or check that it is the right file",
    ),
    "not-text": (
        "this is not a text file in UTF-8 ({found})",
        "save it as plain text with UTF-8 encoding",
    ),
    "not-yaml": (
        "this cannot be read as YAML ({problem})",
        "look at the indent, the colons and the quotes of this line and the one before",
    ),
    "second-document": (
        "a second document begins here",
        "keep one machine to a file and take the line of dashes out",
    ),
    "too-deep": (
        "values stand inside values more than {limit} deep",
        "check the brackets; no machine file needs so many levels",
    ),
    "too-many-values": (
        "the file stands for more than {limit} values",
        "take out what is repeated, and aliases (*name) that repeat it",
    ),
    "alias-loop": ("'*{alias}' stands inside what it stands for", "write the value out instead"),
    "unknown-alias": (
        "'*{alias}' stands for nothing",
        "mark the value it means with '&{alias}' further up, or write it out",
    ),
    "yaml-tag": ("the tag '{tag}' means nothing here", "take it out; every value is read as text"),
    "key-not-text": ("a list or mapping stands where a name should", "write a plain name"),
    "duplicate-key": (
        "'{key}' is written twice; it stands in line {line} already",
        "keep one of the two",
    ),
    "not-a-file-of-ours": (
        "the file holds {found}, not names with values",
        "begin it with '{key}: 1'",
    ),
    "missing-version": (
        "the file does not say which version of the format it is in",
        "begin it with '{key}: {version}'",
    ),
    "unknown-version": (
        "version '{version}' of the format is not known here",
        "this program reads version {current}; a newer file needs a newer program",
    ),
    "old-version": (
        "the file is in version {version} of the format, and was read as such",
        "run 'witnessmark upgrade FILE' to bring it to version {current}",
    ),
    # Includes
    "include-missing": (
        "the included file '{path}' is missing, {reason}",
        "check the path; it starts from the folder of the file that includes it",
    ),
    "include-loop": ("the files include one another in a loop: {chain}", "take one include out"),
    "include-not-relative": (
        "'{path}' is not a path from this file's own folder",
        "write it from the folder of this file, like 'shared/cooling.yaml'",
    ),
    "too-many-includes": (
        "more than {limit} files are included",
        "gather what belongs together in fewer files",
    ),
    "machine-included": (
        "this file is a machine of its own, and is included at {by}",
        "move what both machines share to a file without 'machine', and include that",
    ),
    # Keys and shapes
    "unknown-key": ("'{key}' is not a key known here", "{nearest}"),
    "missing-key": ("'{key}' is missing", "add it here"),
    "empty-value": ("'{key}' has no value", "write the value after the colon, or take the key out"),
    "wrong-shape": ("'{key}' wants {wanted}, but here is {found}", "see the format's page"),
    "bad-id": (
        "'{id}' cannot be a name",
        "use small letters, digits and hyphens, at most 60, like 'upper-cover'",
    ),
    "duplicate-id": ("'{id}' is given twice; the first is at {first}", "rename one of the two"),
    "odd-character": (
        "'{key}' has a character that cannot be printed ({found})",
        "take it out or write it in plain letters",
    ),
    "unknown-word": ("'{word}' is not a word for '{key}'", "{nearest}"),
    "not-true-or-false": ("'{key}' is '{text}'", "write true or false"),
    "not-a-whole-number": (
        "'{key}' is '{text}'",
        "write a whole number of at least {least}, without a unit",
    ),
    "below-zero": ("'{key}' is '{text}', which is too small", "write a number above zero"),
    "not-a-position": (
        "'{key}' is not a position of two lengths",
        "write it like [120 mm, -35 mm]",
    ),
    "unreadable-date": ("'{key}' is '{text}', which is no date", "write it like 2026-03-31"),
    "not-a-way": ("'{text}' under '{key}' does not name a way", "write it like 'OPENING/WAY'"),
    # Quantities
    "missing-quantity": ("'{key}' is missing", "add it with its unit"),
    "unreadable-quantity": ("{what} (under '{key}')", "{hint}"),
    "wrong-unit": ("{what} (under '{key}')", "{hint}"),
    # All together
    "more-complaints": (
        "{number} more complaints are not shown",
        "put the first ones right and check again",
    ),
}

WARNINGS = frozenset({"old-version"})
"""Codes that do not make a file unfit for use."""
