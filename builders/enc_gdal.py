"""Asks GDAL's S-57 driver what stands in the charts of authorities/enc, and writes its answers beside them.

For each chart, as issued and with its updates: features and attributes by class, geometry summed by class, soundings,
areas on the ellipsoid (pyproj, geodesics between corners at
most 0.0005 degrees apart on edges that are straight in latitude and longitude, as those of a chart are), and a few hundred points with what covers them and the nearest sounding (shapely,
geographiclib's geodesics through pyproj).
"""

import gzip
import json
import os
import random
import shutil
import tempfile
import zlib

import numpy as np
import pyogrio
import pyproj
import shapely

FOLDER = "authorities/enc/"
OPTIONS = "RETURN_PRIMITIVES=OFF,RETURN_LINKAGES=OFF,LNAM_REFS=OFF,SPLIT_MULTIPOINT=ON,ADD_SOUNDG_DEPTH=ON,UPDATES="
# Layers of GDAL's that are no class of objects.
NO_CLASS = {"DSID", "IsolatedNode", "ConnectedNode", "Edge", "Face"}
# What GDAL adds to each feature itself.
OWN = {"RCID", "PRIM", "GRUP", "OBJL", "RVER", "AGEN", "FIDN", "FIDS", "LNAM", "DEPTH"}
GEOD = pyproj.Geod(ellps="WGS84")
POINTS = 200


def number(value):
    return isinstance(value, (int, float, np.integer, np.floating)) and not isinstance(value, bool)


def told(value):
    """An attribute's value as text; None where there is none."""
    if value is None or (number(value) and np.isnan(value)):
        return None
    if isinstance(value, np.ndarray):
        value = ",".join(str(part) for part in value)
    if number(value):
        return repr(float(value)).removesuffix(".0")
    return str(value) or None


def layer_of(path, layer):
    meta, fids, geometry, columns = pyogrio.raw.read(path, layer=layer)
    names = list(meta["fields"])
    shapes = shapely.from_wkb(geometry) if geometry is not None else [None] * len(columns[0])
    return names, columns, shapes


def rings(shape):
    """Signed by hole: degrees squared, m2, corners."""
    flat, ellipsoid, corners = 0.0, 0.0, 0
    for part in getattr(shape, "geoms", [shape]):
        for ring, sign in [(part.exterior, 1)] + [(hole, -1) for hole in part.interiors]:
            xy = np.asarray(ring.coords)[:, :2]
            flat += sign * abs(shapely.Polygon(xy).area)
            fine = shapely.get_coordinates(shapely.segmentize(shapely.LinearRing(xy), 0.0005))
            ellipsoid += sign * abs(GEOD.polygon_area_perimeter(fine[:, 0], fine[:, 1])[0])
            corners += len(xy) - 1
    return flat, ellipsoid, corners


def class_answers(names, columns, shapes):
    answers = {"features": len(shapes), "attributes": {}, "corners": 0}
    if "RCID" in names:
        answers["records"] = len(set(columns[names.index("RCID")]))
    for name, column in zip(names, columns):
        if name in OWN:
            continue
        rcids = columns[names.index("RCID")]
        present = {int(rcid): told(value) for rcid, value in zip(rcids, column) if told(value) is not None}
        if present:
            sums = sum(zlib.crc32(f"{rcid}:{value}".encode("utf-8")) for rcid, value in present.items())
            answers["attributes"][name] = [len(present), sums]
    kinds = {"Point": "points", "LineString": "lines", "MultiLineString": "lines", "Polygon": "areas",
             "MultiPolygon": "areas", "MultiPoint": "points"}
    for shape in shapes:
        if shape is None or shape.is_empty:
            continue
        kind = kinds[shape.geom_type]
        answers[kind] = answers.get(kind, 0) + 1
        if kind == "areas":
            flat, ellipsoid, corners = rings(shape)
            answers["area_deg2"] = answers.get("area_deg2", 0.0) + flat
            answers["area_m2"] = answers.get("area_m2", 0.0) + ellipsoid
            answers["corners"] += corners
        elif kind == "lines":
            answers["length_deg"] = answers.get("length_deg", 0.0) + shape.length
        else:
            xy = shapely.get_coordinates(shape)
            answers["latitude_sum_deg"] = answers.get("latitude_sum_deg", 0.0) + float(xy[:, 1].sum())
            answers["longitude_sum_deg"] = answers.get("longitude_sum_deg", 0.0) + float(xy[:, 0].sum())
    return answers


def points_of(layers, draw):
    coverage = shapely.union_all([
        shape for names, columns, shapes in [layers["M_COVR"]]
        for shape, code in zip(shapes, columns[names.index("CATCOV")]) if code == 1
    ])
    west, south, east, north = coverage.bounds
    deep = layers["SOUNDG"]
    places = np.array([[s.x, s.y, s.z] for s in deep[2]])
    found = []
    while len(found) < POINTS:
        point = shapely.Point(round(draw.uniform(west, east), 7), round(draw.uniform(south, north), 7))
        if not coverage.contains(point):
            continue
        row = {"latitude_deg": point.y, "longitude_deg": point.x}
        for layer, key in (("DEPARE", "depth_area"), ("DRGARE", "dredged")):
            row[key] = None
            if layer in layers:
                names, columns, shapes = layers[layer]
                for index, shape in enumerate(shapes):
                    if shape.geom_type.endswith("Polygon") and shape.contains(point):
                        row[key] = [
                            None if np.isnan(columns[names.index(name)][index]) else columns[names.index(name)][index]
                            for name in ("DRVAL1", "DRVAL2")
                        ]
        row["on_land"] = any(s.geom_type.endswith("Polygon") and s.contains(point) for s in layers["LNDARE"][2])
        count = len(places)
        _, _, metres = GEOD.inv(np.full(count, point.x), np.full(count, point.y), places[:, 0], places[:, 1])
        nearest = int(np.argmin(metres))
        row["nearest_sounding"] = {"depth_m": round(float(places[nearest, 2]), 4), "distance_m": float(metres[nearest])}
        row["inside"] = sorted({
            layer for layer, (_, _, shapes) in layers.items() for s in shapes
            if s is not None and s.geom_type.endswith("Polygon") and s.contains(point)
        })
        if "M_QUAL" in layers:
            names, columns, shapes = layers["M_QUAL"]
            zones = [int(z) for z, s in zip(columns[names.index("CATZOC")], shapes) if s.contains(point)]
            row["zone"] = max(zones) if zones else None
        found.append(row)
    return found


def chart(path, updates, seed):
    os.environ["OGR_S57_OPTIONS"] = OPTIONS + ("APPLY" if updates else "IGNORE")
    layers = {name: layer_of(path, name) for name, _ in pyogrio.list_layers(path) if name not in NO_CLASS}
    answers = {"classes": {name: class_answers(*layer) for name, layer in sorted(layers.items())}}
    depths = np.array([shape.z for shape in layers["SOUNDG"][2]])
    answers["soundings"] = {
        "count": len(depths), "min_m": round(float(depths.min()), 4), "max_m": round(float(depths.max()), 4),
        "sum_m": round(float(depths.sum()), 4),
    }
    answers["points"] = points_of(layers, random.Random(seed))
    return answers


def main():
    answers = {"made_with": f"pyogrio {pyogrio.__version__}, GDAL {'.'.join(map(str, pyogrio.__gdal_version__))}, "
                            f"shapely {shapely.__version__}, pyproj {pyproj.__version__}"}
    with tempfile.TemporaryDirectory() as folder:
        harbour, bay = f"{folder}/US5WA22M.000", f"{folder}/US5MA1BO.000"
        with gzip.open(FOLDER + "US5WA22M.000.gz") as packed, open(harbour, "wb") as whole:
            shutil.copyfileobj(packed, whole)
        shutil.copy(FOLDER + "US5MA1BO.000", bay)
        answers["US5MA1BO"] = chart(bay, False, 1)
        answers["US5WA22M"] = chart(harbour, False, 2)
        for number in range(1, 5):
            shutil.copy(f"{FOLDER}US5WA22M.{number:03}", folder)
        answers["US5WA22M updated"] = chart(harbour, True, 3)
    with open(FOLDER + "gdal.json", "w", encoding="utf-8") as file:
        file.write("{\n")
        file.write(",\n".join(f"{json.dumps(key)}: {json.dumps(value)}" for key, value in answers.items()))
        file.write("\n}\n")


main()
