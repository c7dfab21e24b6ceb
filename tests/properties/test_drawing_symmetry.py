"""A drawing that is moved, or drawn in another unit, shows the same site; a site comes back exactly."""

import tempfile
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Point, Polygon, box

from scrubwright.floor.site import Area, Edges, FloorPlan, NamedOutline, Place, Ramp, ServicePoint, Site, Use
from scrubwright.paperwork.cleaning import cleaned
from scrubwright.paperwork.drawing import DrawingOptions, KnownDistance, Piece, Role, Sketch, Storey
from scrubwright.paperwork.mending import linework
from scrubwright.paperwork.sites import read_site, write_site

FEW = settings(max_examples=40, deadline=None)

widths = st.floats(min_value=8.0, max_value=200.0)
shares = st.floats(min_value=0.1, max_value=0.6)


@st.composite
def storeys(draw: st.DrawFn) -> Storey:
    """A hall with racks, a no-go zone, two areas and a drain, somewhere within it [m]."""
    width, depth = draw(widths), draw(widths)
    racks = [
        Piece(role=Role.OBSTACLE, shape=box(x * width, y * depth, x * width + 0.3 * width, y * depth + 0.1 * depth))
        for x, y in draw(st.lists(st.tuples(shares, shares), max_size=4))
    ]
    cut = draw(shares) * width
    areas = [
        Piece(role=Role.AREA, shape=box(0, 0, cut, depth), name="West"),
        Piece(role=Role.AREA, shape=box(cut, 0, width, depth), name="East", priority=2, passes=2),
    ]
    hall = Piece(role=Role.FLOOR, shape=box(0, 0, width, depth), name="Hall")
    zone = Piece(role=Role.NO_GO, shape=box(0.8 * width, 0.8 * depth, width, depth))
    drain = Piece(role=Role.DRAIN, shape=Point(0.05 * width, 0.05 * depth))
    return Storey(name="main", pieces=(hall, *racks, *areas, zone, drain))


def site_of(storey: Storey, *, unit_m: float | None = 1.0, options: DrawingOptions | None = None) -> Site:
    sketch = Sketch(kind="made up", storeys=(storey,), unit_m=unit_m)
    return cleaned(sketch, options or DrawingOptions(), name="made up", source="").site


def changed(storey: Storey, factor: float, across: float, up: float) -> Storey:
    pieces = tuple(
        Piece(
            role=piece.role,
            shape=shapely.transform(piece.shape, lambda points: points * factor + [across, up]),
            name=piece.name,
            priority=piece.priority,
            passes=piece.passes,
        )
        for piece in storey.pieces
    )
    return Storey(name=storey.name, pieces=pieces)


def outlines(site: Site) -> list[shapely.Geometry]:
    floor = site.floors[0]
    return [floor.outline, *(each.outline for each in (*floor.obstacles, *floor.areas, *floor.no_go))]


def assert_same_shapes(one: Site, other: Site, *, across: float = 0.0, up: float = 0.0) -> None:
    """The same shapes within the 1 mm grid, the other ones moved back first."""
    assert len(outlines(one)) == len(outlines(other))
    for shape, moved in zip(outlines(one), outlines(other), strict=True):
        back = shapely.transform(moved, lambda points: points - [across, up])
        assert shapely.hausdorff_distance(shape, back) < 0.003


@FEW
@given(storey=storeys(), across=st.floats(-3000, 3000), up=st.floats(-3000, 3000))
def test_a_drawing_moved_nearby_shows_the_same_site_moved(storey: Storey, across: float, up: float) -> None:
    assert_same_shapes(site_of(storey), site_of(changed(storey, 1.0, across, up)), across=across, up=up)


@FEW
@given(storey=storeys(), across=st.integers(20_000, 5_000_000), up=st.integers(-5_000_000, -20_000))
def test_a_drawing_far_away_comes_to_the_origin_and_is_the_same(storey: Storey, across: int, up: int) -> None:
    far = site_of(changed(storey, 1.0, across, up))
    assert max(abs(side) for side in far.floors[0].outline.bounds) < 2000
    here, there = (site.floors[0].outline.bounds for site in (site_of(storey), far))
    assert_same_shapes(site_of(storey), far, across=there[0] - here[0], up=there[1] - here[1])


@FEW
@given(storey=storeys(), unit_m=st.sampled_from([0.001, 0.01, 0.0254, 0.3048]))
def test_a_drawing_in_another_unit_shows_the_same_site(storey: Storey, unit_m: float) -> None:
    measured = KnownDistance(line=LineString([(0, 0), (1 / unit_m, 0)]), distance_m=1.0)
    scaled = site_of(changed(storey, 1 / unit_m, 0, 0), unit_m=None, options=DrawingOptions(known_distance=measured))
    assert_same_shapes(site_of(storey), scaled)


names = st.text(st.characters(blacklist_categories=["Cs"]), min_size=1, max_size=12)
spans = st.floats(min_value=0.11, max_value=9.7)
windows = st.fixed_dictionaries({"window_from_h": st.floats(0, 11.9), "window_until_h": st.floats(12, 24)})


@st.composite
def sites(draw: st.DrawFn) -> Site:
    """Sites with every kind of thing, at coordinates with all the digits that a float has."""
    side = draw(st.floats(min_value=20.0, max_value=500.0))
    x, y = draw(st.floats(-4000, 4000)), draw(st.floats(-4000, 4000))
    hole = [(x + 11.1, y + 11.1), (x + 11.1, y + 12.3), (x + 12.3, y + 11.1)]
    corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    floors = tuple(
        FloorPlan(
            name=name,
            outline=MultiPolygon([Polygon(corners, [hole])]),
            obstacles=(NamedOutline(name=draw(names), outline=box(x + 1, y + 1, x + 1 + draw(spans), y + 2)),),
            areas=(
                Area(
                    name=draw(names),
                    outline=box(x, y, x + draw(spans), y + draw(spans)),
                    surface=draw(names),
                    priority=draw(st.integers(1, 9)),
                    passes=draw(st.sampled_from([1, 2])),
                    edges=draw(st.sampled_from(Edges)),
                    people=draw(st.booleans()),
                    **draw(st.just({}) | windows),
                ),
            ),
            no_go=(NamedOutline(name=draw(names), outline=box(x + 13, y + 13, x + 14, y + 14)),),
            ramps=(
                Ramp(
                    name=draw(names),
                    outline=box(x + 15, y + 15, x + 16, y + 17),
                    slope_fraction=draw(st.floats(0.001, 0.9)),
                    uphill_rad=draw(st.floats(-7, 7)),
                ),
            ),
            service_points=(
                ServicePoint(
                    name=draw(names),
                    x_m=x + 18.1,
                    y_m=y + 18.3,
                    uses=draw(st.frozensets(st.sampled_from(Use), min_size=1)),
                ),
            ),
            parking=Place(name=draw(names), x_m=x + 0.5, y_m=y + side - 0.5),
        )
        for name in draw(st.lists(names.filter(str.strip), min_size=1, max_size=2, unique=True))
    )
    return Site(name=draw(names), floors=floors, source=draw(names))


@FEW
@given(site=sites())
def test_a_site_comes_back_from_its_file_to_the_last_digit(site: Site) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "site.geojson")
        write_site(site, path)
        first = path.read_bytes()
        reading = read_site(path)
        write_site(reading.site, path)
        assert path.read_bytes() == first
    assert reading.site == site
    assert reading.warnings == ()


@FEW
@given(
    jitter=st.lists(st.tuples(st.floats(-0.004, 0.004), st.floats(-0.004, 0.004)), min_size=48, max_size=48),
    pitch=st.floats(2.5, 9.0),
)
def test_lines_that_miss_each_other_by_millimetres_enclose_all_rooms(
    jitter: list[tuple[float, float]], pitch: float
) -> None:
    def end(column: int, row: int, number: int) -> tuple[float, float]:
        return column * pitch + jitter[number % 48][0], row * pitch + jitter[number % 48][1]

    lines, number = [], 0
    for column in range(4):
        for row in range(4):
            for right, up in ((1, 0), (0, 1)):
                if column + right < 4 and row + up < 4:
                    lines.append(LineString([end(column, row, number), end(column + right, row + up, number + 1)]))
                    number += 2
    filled = shapely.union_all(linework(lines).faces)
    # At most 1 cm along each of the 12 outer edges.
    assert filled.area == pytest.approx((3 * pitch) ** 2, abs=12 * pitch * 0.011)
