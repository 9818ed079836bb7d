"""LEG.toml to `Leg`: the one door through which a leg's data comes in."""

import math
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from vision.errors import LegError
from vision.leg import consistent
from vision.leg.data import HoseData, Leg, PressureData, StrutData, TireData
from vision.leg.doubts import DEFAULT_U
from vision.leg.keys import HOSE_KEYS, LEG_KEYS, MEASURED_FORM, STRUT_KEYS, TABLES, TIRE_KEYS, Key
from vision.leg.plausible import check_units
from vision.leg.table import Table, fail, read_table

_LARGEST_FILE = 1_000_000
_STRUT_REQUIRED = (
    ("extension_mm", "extension_table"),
    ("lower_mm", "upper_mm"),
    ("measured_from",),
    ("measured_to",),
    ("piston_diameter_mm",),
    ("collar_diameter_mm",),
)
_TIRE_REQUIRED = (("outside_diameter_mm",), ("flange_diameter_mm",))


def load_leg(path_or_text: str | Path, accept_units: bool = False) -> Leg:
    """Return the leg that a LEG.toml states.

    Parameters
    ----------
    path_or_text : Path or str
        A file's path; a text of more than one line is taken as the TOML itself.
    accept_units : bool
        Take values at their word that look like another unit.

    Raises
    ------
    LegError
        The file cannot be read, or see `read_leg`.
    """
    if isinstance(path_or_text, str) and "\n" in path_or_text:
        return read_leg(path_or_text, "leg", accept_units)
    path = Path(path_or_text)
    try:
        with path.open("rb") as file:
            data = file.read(_LARGEST_FILE + 1)
        text = data.decode("utf-8-sig")
    except (OSError, ValueError) as error:
        msg = f"{path.name}: the leg's data cannot be read ({error}): give a TOML file in UTF-8"
        raise LegError(msg) from error
    if len(data) > _LARGEST_FILE:
        msg = f"{path.name}: more than {_LARGEST_FILE} bytes are no leg's data: give the LEG.toml"
        raise LegError(msg)
    return read_leg(text, path.name, accept_units)


def read_leg(text: str, source: str, accept_units: bool = False) -> Leg:
    """Return the leg that a TOML text states.

    Parameters
    ----------
    text : str
        The contract's LEG.toml.
    source : str
        Name of the file, put in front of every error.
    accept_units : bool
        Take values at their word that look like another unit.

    Raises
    ------
    LegError
        The text is no TOML (with the line), a key is unknown (with the nearest
        known one), a value is of the wrong type, not finite or of the wrong
        sign, looks like another unit, or contradicts another value.
    """
    try:
        raw = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # a number may be longer than Python takes
        msg = f"{source}: no valid TOML, {error}: correct that line"
        raise LegError(msg) from error
    top = read_table({k: v for k, v in raw.items() if k not in TABLES}, LEG_KEYS, f"{source}:")
    tables = {name: _table(raw, name, source, top.document) for name in ("strut", "tire")}
    hoses = _hoses(raw, source, top.document)
    if not accept_units:
        for table, keys in [(tables["strut"], STRUT_KEYS), (tables["tire"], TIRE_KEYS)] + [
            (hose, HOSE_KEYS) for hose in hoses
        ]:
            check_units(table, keys)
    consistent.check_strut(tables["strut"])
    consistent.check_tire(tables["tire"])
    strut_missing = _strut_missing(tables["strut"])
    tire_missing = _missing(tables["tire"], _TIRE_REQUIRED)
    return Leg(
        aircraft=top.text("aircraft"),
        position=top.text("position"),
        leg_tag=top.values.get("leg_tag"),
        document=top.document,
        strut=None if strut_missing else _strut(tables["strut"]),
        tire=None if tire_missing else _tire(tables["tire"]),
        tire_pressure=_pressure(tables["tire"]),
        hoses=tuple(_hose(hose) for hose in hoses),
        source=source,
        strut_missing=strut_missing,
        tire_missing=tire_missing,
    )


def _table(raw: Mapping[str, Any], name: str, source: str, document: str) -> Table:
    part = raw.get(name, {})
    if not isinstance(part, dict):
        fail(f"{source}:", f"{name} is not one table: write [{name}] once, its keys below")
    return _read(part, TABLES[name], f"{source}: [{name}]", document)


def _read(part: Mapping[str, Any], keys: tuple[Key, ...], where: str, document: str) -> Table:
    # A table may name its own document; else the leg's stands for its values.
    return read_table({"document": document} | dict(part), keys, where)


def _hoses(raw: Mapping[str, Any], source: str, document: str) -> list[Table]:
    part = raw.get("hose", [])
    parts = [part] if isinstance(part, dict) else part
    if not isinstance(parts, list) or not all(isinstance(hose, dict) for hose in parts):
        fail(f"{source}:", "hose is not a table: write [hose], or [[hose]] for each with a name")
    hoses = [
        _read(hose, HOSE_KEYS, f"{source}: [[hose]] {i}" if len(parts) > 1 else f"{source}: [hose]", document)
        for i, hose in enumerate(parts, 1)
    ]
    names = [hose.text("name") for hose in hoses]
    if len(hoses) > 1 and (not all(names) or len(set(names)) < len(names)):
        fail(f"{source}:", f"several [[hose]] need a name each, all different; got {names}")
    return hoses


def _missing(table: Table, required: tuple[tuple[str, ...], ...]) -> tuple[str, ...]:
    return tuple(" or ".join(names) for names in required if not any(n in table.values for n in names))


def _strut_missing(table: Table) -> tuple[str, ...]:
    """Nothing is missing where the form alone already means a refusal."""
    measured = table.text("form", MEASURED_FORM) == MEASURED_FORM
    return _missing(table, _STRUT_REQUIRED) if measured else ()


def _u(table: Table, name: str) -> float:
    given, default = table.u.get(name), DEFAULT_U.get(name)
    if given is not None or default is None:
        return given or 0.0
    return default(table.number(name) or 0.0)


def _assumed(table: Table) -> frozenset[str]:
    return frozenset(
        name for name in table.values if name in DEFAULT_U and name not in table.u and _u(table, name) > 0
    )


def _strut(table: Table) -> StrutData:
    number = table.number
    piston, collar = number("piston_diameter_mm"), number("collar_diameter_mm")
    return StrutData(
        form=table.text("form", MEASURED_FORM),
        extension_mm=number("extension_mm"),
        extension_u_mm=table.u.get("extension_table", table.u.get("extension_mm", 0.0)),
        extension_table=table.values.get("extension_table"),
        lower_mm=number("lower_mm"),
        lower_u_mm=_u(table, "lower_mm"),
        upper_mm=number("upper_mm"),
        upper_u_mm=_u(table, "upper_mm"),
        plate_text=table.text("plate_text"),
        measured_from=table.text("measured_from"),
        measured_to=table.text("measured_to"),
        piston_diameter_mm=math.nan if piston is None else piston,
        piston_diameter_u_mm=_u(table, "piston_diameter_mm"),
        collar_diameter_mm=math.nan if collar is None else collar,
        collar_diameter_u_mm=_u(table, "collar_diameter_mm"),
        cylinder_diameter_mm=number("cylinder_diameter_mm"),
        cylinder_diameter_u_mm=_u(table, "cylinder_diameter_mm"),
        collar_recess_mm=number("collar_recess_mm") or 0.0,
        collar_recess_u_mm=_u(table, "collar_recess_mm"),
        document=table.document,
        documents=tuple(table.documents.items()),
        assumed=_assumed(table),
    )


def _tire(table: Table) -> TireData:
    number = table.number
    return TireData(
        outside_diameter_mm=float(table.values["outside_diameter_mm"]),
        outside_diameter_u_mm=_u(table, "outside_diameter_mm"),
        flange_diameter_mm=float(table.values["flange_diameter_mm"]),
        flange_diameter_u_mm=_u(table, "flange_diameter_mm"),
        section_width_mm=number("section_width_mm"),
        section_width_u_mm=_u(table, "section_width_mm"),
        loaded_radius_mm=number("loaded_radius_mm"),
        loaded_radius_u_mm=_u(table, "loaded_radius_mm"),
        line=table.text("line") or "none",
        line_reference=table.text("line_reference", "ground"),
        line_clock_deg=table.values.get("line_clock_deg", (150.0, 210.0)),
        line_limit_deg=number("line_limit_deg"),
        line_limit_u_deg=_u(table, "line_limit_deg"),
        creep_limit_mm=number("creep_limit_mm"),
        creep_limit_u_mm=_u(table, "creep_limit_mm"),
        document=table.document,
        documents=tuple(table.documents.items()),
        assumed=_assumed(table),
    )


def _pressure(table: Table) -> PressureData | None:
    if not any(key.startswith("pressure_") for key in table.values):
        return None
    limit = next((key for key in ("pressure_upper_kPa", "pressure_lower_kPa") if key in table.values), "")
    return PressureData(
        lower_kpa=table.number("pressure_lower_kPa"),
        upper_kpa=table.number("pressure_upper_kPa"),
        state=table.text("pressure_state"),
        temperature_c=table.number("pressure_temperature_C"),
        document=table.documents.get(limit, table.document),
    )


def _hose(table: Table) -> HoseData:
    limits = table.text("damage_limits")
    return HoseData(
        name=table.text("name"),
        diameter_mm=table.number("diameter_mm"),
        diameter_u_mm=_u(table, "diameter_mm"),
        cover=table.values.get("cover"),
        document=table.documents.get("diameter_mm", table.document),
        assumed=_assumed(table),
        damage_limits=limits,
        damage_document=table.documents.get("damage_limits", table.document) if limits else "",
    )
