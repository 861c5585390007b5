"""Writing GeoPackages and CSV so that the same run gives the same bytes."""
import csv
import os

from osgeo import gdal, ogr, osr

EAST_0, NORTH_0 = 398000.0, 6051000.0  # in open sea, so that no real place is meant
EPSG = 25832
TYPES = {"text": ogr.OFTString, "whole": ogr.OFTInteger, "real": ogr.OFTReal}

gdal.UseExceptions()
gdal.SetConfigOption("OGR_CURRENT_DATE", "2026-01-01T00:00:00.000Z")


def shift(point):
    return (round(point[0] + EAST_0, 2), round(point[1] + NORTH_0, 2))


def _line(parts):
    shape = ogr.Geometry(ogr.wkbMultiLineString)
    for part in parts:
        line = ogr.Geometry(ogr.wkbLineString)
        for point in part:
            line.AddPoint_2D(*shift(point))
        shape.AddGeometry(line)
    return shape


def _rings(shape):
    """A local polygon moved to its place, coordinates rounded."""
    moved = ogr.Geometry(ogr.wkbPolygon)
    for i in range(shape.GetGeometryCount()):
        ring, outline = shape.GetGeometryRef(i), ogr.Geometry(ogr.wkbLinearRing)
        for j in range(ring.GetPointCount()):
            outline.AddPoint_2D(*shift(ring.GetPoint_2D(j)))
        moved.AddGeometry(outline)
    return moved


def _multi(shape):
    parts = [shape] if shape.GetGeometryType() == ogr.wkbPolygon else \
        [shape.GetGeometryRef(i) for i in range(shape.GetGeometryCount())]
    many = ogr.Geometry(ogr.wkbMultiPolygon)
    for part in parts:
        many.AddGeometry(_rings(part))
    return many


def geometry(row):
    if row.get("_line") is not None:
        return _line(row["_line"])
    if "_point" in row:
        point = ogr.Geometry(ogr.wkbPoint)
        point.AddPoint_2D(*shift(row["_point"]))
        return point
    if "_shape" in row:
        return _multi(row["_shape"])
    if "_ring" in row:
        from .surroundings import polygon
        return _multi(polygon(row["_ring"]))
    return None


class Package:
    """One GeoPackage, made anew."""

    def __init__(self, path):
        if os.path.exists(path):
            os.remove(path)
        self._data = ogr.GetDriverByName("GPKG").CreateDataSource(path)
        self._srs = osr.SpatialReference()
        self._srs.ImportFromEPSG(EPSG)

    def layer(self, name, kind, fields, rows):
        """kind: line, point or area. Row order gives the feature ids, from 1."""
        types = {"line": ogr.wkbMultiLineString, "point": ogr.wkbPoint, "area": ogr.wkbMultiPolygon}
        layer = self._data.CreateLayer(name, self._srs, types[kind], ["SPATIAL_INDEX=NO", "FID=fid"])
        for field, sort in fields:
            layer.CreateField(ogr.FieldDefn(field, TYPES[sort]))
        layer.StartTransaction()
        for row in rows:
            feature = ogr.Feature(layer.GetLayerDefn())
            for field, _ in fields:
                if row[field] is not None:
                    feature.SetField(field, row[field])
            feature.SetGeometry(geometry(row))
            layer.CreateFeature(feature)
        layer.CommitTransaction()

    def close(self):
        self._data = None


def write_csv(path, header, rows):
    with open(path, "w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)
