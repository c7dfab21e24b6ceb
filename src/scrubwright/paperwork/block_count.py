"""How many things a DXF block stands for, blocks inside it and arrays of it counted, without taking it apart."""

from collections.abc import Mapping

from ezdxf.document import Drawing
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.insert import Insert


def block_counts(drawing: Drawing) -> dict[str, int]:
    """The number of things each block stands for, by its name in lower case.

    Python's whole numbers have no largest, so a block that stands for 10^30 things is counted too.
    """
    contents = {block.name.casefold(): list(block) for block in drawing.blocks}
    counts: dict[str, int] = {}
    waiting = list(contents)
    entered: set[str] = set()
    while waiting:
        name = waiting[-1]
        if name in counts:
            waiting.pop()
            continue
        inner = {str(entity.dxf.name).casefold() for entity in contents[name] if isinstance(entity, Insert)}
        missing = [child for child in inner if child in contents and child not in counts and child not in entered]
        if missing and name not in entered:
            entered.add(name)
            waiting += missing
            continue
        entered.add(name)
        # A block that holds itself is not counted again; taking it apart ends at the depth limit.
        counts[name] = sum(drawn_count(entity, counts) for entity in contents[name])
        waiting.pop()
    return counts


def drawn_count(entity: DXFEntity, counts: Mapping[str, int]) -> int:
    """How many things one entity stands for: 1, or for a block its content times rows times columns."""
    if not isinstance(entity, Insert):
        return 1
    rows, columns = (max(1, int(entity.dxf.get(name, 1))) for name in ("row_count", "column_count"))
    return max(1, counts.get(str(entity.dxf.name).casefold(), 1)) * rows * columns
