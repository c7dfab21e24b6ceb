"""What the house rules read: the modules of src, room by room, and the files that git tracks."""

import ast
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "scrubwright"
GROUND_FLOOR = "measures"
KNOW_HOW = (
    "battery",
    "catalogue",
    "exposure",
    "faults",
    "floor",
    "footing",
    "machine",
    "money",
    "teaching",
    "water",
    "wear",
)
PURE_ROOMS = (*KNOW_HOW, GROUND_FLOOR, "jobs")
EDGES = ("cli", "fleet", "office", "paperwork")

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True, slots=True, kw_only=True)
class Module:
    """One module of the package, parsed."""

    path: Path
    room: str
    tree: ast.Module

    @property
    def place(self) -> str:
        return str(self.path.relative_to(ROOT))


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicName:
    """A class or function that other rooms may use, with the classes it stands in."""

    name: str
    node: ast.ClassDef | Function
    is_property: bool = False
    is_method: bool = False


@cache
def modules() -> tuple[Module, ...]:
    """Every module of the package."""
    return tuple(
        Module(
            path=path,
            room=path.relative_to(PACKAGE).parts[0].removesuffix(".py"),
            tree=ast.parse(path.read_text(encoding="utf-8"), filename=str(path)),
        )
        for path in sorted(PACKAGE.rglob("*.py"))
    )


def rooms() -> set[str]:
    """The rooms that have something in them."""
    return {path.name for path in PACKAGE.iterdir() if (path / "__init__.py").exists()}


@cache
def tracked_texts() -> dict[str, str]:
    """Path to content of every text file that git tracks."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, check=True, capture_output=True, text=True).stdout
    texts = {}
    for name in filter(None, listed.split("\0")):
        path = ROOT / name
        if path.is_file() and b"\0" not in (content := path.read_bytes()):
            texts[name] = content.decode("utf-8", errors="replace")
    return texts


def public_names(tree: ast.Module) -> Iterator[PublicName]:
    """Public classes, functions and methods of a module; a leading underscore hides what is below it too."""
    yield from _public_in(tree.body, prefix="", is_method=False)


def _public_in(body: list[ast.stmt], prefix: str, is_method: bool) -> Iterator[PublicName]:
    for node in body:
        if not isinstance(node, ast.ClassDef | Function) or node.name.startswith("_"):
            continue
        if isinstance(node, ast.ClassDef):
            yield PublicName(name=prefix + node.name, node=node)
            yield from _public_in(node.body, prefix=f"{prefix}{node.name}.", is_method=True)
        else:
            decorators = {ast.unparse(decorator).split("(")[0] for decorator in node.decorator_list}
            is_property = bool(decorators & {"property", "cached_property", "functools.cached_property"})
            yield PublicName(name=prefix + node.name, node=node, is_property=is_property, is_method=is_method)


def called(node: ast.Call) -> str:
    """The last name of what is called: `BadInput` for `errors.BadInput(...)`."""
    if isinstance(node.func, ast.Attribute):
        return node.func.attr
    return node.func.id if isinstance(node.func, ast.Name) else ""


def is_floats(annotation: ast.expr | None, aliases: frozenset[str] = frozenset()) -> bool:
    """Whether an annotation holds floats: a float, an array, tuple or mapping of them.

    Callables are no floats, and neither is a value that may be text as well.
    """
    if annotation is None:
        return False
    if isinstance(annotation, ast.Constant) and isinstance(annotation.value, str):
        return is_floats(ast.parse(annotation.value, mode="eval").body, aliases)
    if isinstance(annotation, ast.BinOp):
        sides = (annotation.left, annotation.right)
        return not any(ast.unparse(side) == "str" for side in sides) and any(is_floats(side, aliases) for side in sides)
    if isinstance(annotation, ast.Subscript):
        if ast.unparse(annotation.value).endswith("Callable"):
            return False
        inner = annotation.slice.elts if isinstance(annotation.slice, ast.Tuple) else [annotation.slice]
        if ast.unparse(annotation.value).endswith(("dict", "Mapping")):
            inner = inner[-1:]
        told = [part for part in inner if not (isinstance(part, ast.Constant) and part.value is Ellipsis)]
        return bool(told) and all(is_floats(part, aliases) for part in told)
    return ast.unparse(annotation) in aliases | {"float", "np.float32", "np.float64", "np.floating", "ArrayLike"}


@cache
def float_aliases() -> frozenset[str]:
    """Names that modules give to annotations of floats, such as `Points = NDArray[np.float64]`."""
    names = set()
    for module in modules():
        for node in module.tree.body:
            if isinstance(node, ast.Assign) and isinstance(node.value, ast.Subscript) and is_floats(node.value):
                names |= {target.id for target in node.targets if isinstance(target, ast.Name)}
    return frozenset(names)
