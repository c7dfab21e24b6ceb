"""What the words on layers and in properties mean: a small table in English and Spanish."""

import re
import unicodedata

from scrubwright.paperwork.drawing import Role

# A word counts wherever it stands in a layer's name (A-WALL-EXTR) or kind (building_outline). The first
# row with a word in it decides, so what is written or hatched about a thing comes before the thing itself.
_TABLE: tuple[tuple[Role, str], ...] = (
    (
        Role.IGNORE,
        """
        text texts texto textos txt anno annotation dim dims dimension dimensions cota cotas label title
        titleblock cajetin note notes notas tag tags ident iden legend leyenda symb symbol symbols poi hatch
        hatching patt pattern sombreado rayado border viewport vport defpoints axis axes eje ejes grid
        gridline clng ceiling techo roof cubierta lite light lights lighting lamp luminaria luminarias
        sprinkler camera smoke
        """,
    ),
    (
        Role.NO_GO,
        """
        nogo keepout forbidden prohibido prohibida stair stairs steps strs staircase escalera escaleras
        elevator elevators lift lifts evtr ascensor ascensores montacargas escalator pit foso carpet alfombra
        """,
    ),
    (Role.DRAIN, "drain drains gully desague desagues sumidero sumideros sink fregadero vertedero"),
    (Role.TAP, "tap taps faucet hydrant toma grifo grifos hose"),
    (Role.SOCKET, "socket sockets outlet outlets enchufe enchufes charger cargador charging"),
    (Role.PARKING, "parking aparcamiento estacionamiento"),
    (Role.RAMP, "ramp ramps rampa rampas"),
    (
        Role.DOOR,
        """
        door doors doorway gate opening openings entrance puerta puertas porton hueco huecos entrada
        """,
    ),
    (
        Role.WALL,
        """
        wall walls partition partitions prtn glaz glazing window windows wind void hole atrium courtyard shaft
        shft inaccessible muro muros pared paredes tabique tabiques ventana ventanas patio
        """,
    ),
    (
        Role.OBSTACLE,
        """
        obstacle obstacles rack racks racking shelf shelves shelving gondola gondolas column columns cols colm
        pillar pillars counter counters checkout till island islands case cases casework kiosk furn furniture
        table tables desk desks bench bed planter machine machines eqpm equipment fixt fixture fixtures sanr
        pfix obstaculo obstaculos estanteria estanterias estante estantes columna columnas pilar pilares
        mostrador mostradores caja cajas mueble muebles mobiliario mesa mesas banco cama inodoro kiosko
        maquina maquinas equipo equipos
        """,
    ),
    (Role.AREA, "area areas zone zones scrub clean zona zonas limpieza fregado"),
    (
        Role.FLOOR,
        """
        floor floors flor room rooms outline footprint building slab corridor corridors hall lobby aisle
        aisles walkway bathroom restroom toilet toilets kitchen office shop storage lounge classroom unit piso
        pisos suelo suelos planta contorno sala salas habitacion habitaciones pasillo pasillos aseo aseos bano
        banos cocina oficina tienda almacen aula losa edificio
        """,
    ),
)
_ROLE_OF_WORD = tuple((frozenset(words.split()), role) for role, words in _TABLE)
_ROLE_OF_OWN_NAME = {role.value: role for role in Role}


def plain(text: str) -> str:
    """Text without accents and capitals, so that "DESAGÜE" and "desague" are one word."""
    spread = unicodedata.normalize("NFKD", text)
    return "".join(letter for letter in spread if not unicodedata.combining(letter)).casefold()


def role_of_words(text: str) -> Role | None:
    """The role that a layer name, block name or kind speaks of; None where the table knows no word of it.

    Examples
    --------
    >>> role_of_words("A-WALL-EXTR")
    <Role.WALL: 'wall'>
    >>> role_of_words("Desagüe_01")
    <Role.DRAIN: 'drain'>
    """
    said = plain(text)
    if said in _ROLE_OF_OWN_NAME:
        return _ROLE_OF_OWN_NAME[said]
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)
    words = {word for word in re.split(r"[^a-z]+", plain(spaced)) if word} | {said.replace("-", "").replace("_", "")}
    for known, role in _ROLE_OF_WORD:
        if words & known:
            return role
    return None
