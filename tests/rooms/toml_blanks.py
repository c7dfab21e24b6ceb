"""A blank file as somebody fills it in."""

import re


def filled(blank: str) -> str:
    """A blank with every key in use and filled with its own example."""
    lines, example = [], ""
    for told in blank.splitlines():
        if found := re.search(r"(?:for instance|For instance) (.*)\.$", told):
            example = found[1]
        line = re.sub(r"^#(?=[\[a-z])", "", told)
        lines.append(line.removesuffix('""') + example if line.endswith(' = ""') else line)
    return "\n".join(lines)
