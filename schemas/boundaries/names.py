#!/usr/bin/python3
"""Writes the tables of names of countries and of their divisions.

    npm pack cldr-localenames-full@48.2.0 && tar xzf cldr-localenames-full-48.2.0.tgz && mv package names
    npm pack cldr-subdivisions-full@48.2.0 && tar xzf cldr-subdivisions-full-48.2.0.tgz && mv package divisions
    python3 names.py names divisions codes.csv ../quality_countries.csv ../quality_divisions.csv

codes.csv is what codes.go writes. Source: Unicode Common Locale Data Repository
48.2, Unicode License v3, and for codes and further names that of codes.go. Names
that differ only in case, accents or punctuation are written once.
"""
import csv
import json
import os
import re
import sys
import unicodedata

NOTICE = ("# %s Source: Unicode CLDR 48.2 (npm %s 48.2.0), Copyright 2004-2026 Unicode, Inc., Unicode License v3"
          " (https://www.unicode.org/license.txt); codes and further names: github.com/biter777/countries 1.7.5; written by boundaries/names.py, 2026-11-29.\n")
COUNTRY_LANGUAGES = ("en es fr de it pt nl da sv no nb fi is pl cs sk sl hr hu ro tr id ms vi sw af ca eu gl et lv lt"
                     " sq cy ga ru uk el bg zh ja ko ar he hi").split()
DIVISION_LANGUAGES = "en es fr de it pt nl da sv nb no fi pl cs hu ro tr id vi ca eu gl et lv lt hr sl sk".split()
# Older and shorter English names of countries with the same borders, and names
# that two countries share: common practice.
OLDER = {
    "BF": ["Upper Volta"], "BJ": ["Dahomey"], "LK": ["Ceylon"], "TH": ["Siam"], "IR": ["Persia"],
    "ET": ["Abyssinia"], "GH": ["Gold Coast"], "KH": ["Kampuchea"], "MM": ["Burma"], "NL": ["Holland"],
    "CD": ["Zaire", "Congo", "DR Congo", "Belgian Congo"], "CG": ["Congo"], "KR": ["Korea"], "KP": ["Korea"],
    "US": ["U.S.A.", "America"], "GB": ["Great Britain", "U.K."], "AE": ["UAE"], "CV": ["Cape Verde"],
    "CI": ["Ivory Coast"], "TL": ["East Timor"], "MK": ["Macedonia"], "CZ": ["Czech Republic"],
    "SZ": ["Swaziland"], "VU": ["New Hebrides"], "KI": ["Gilbert Islands"], "TV": ["Ellice Islands"],
    "BW": ["Bechuanaland"], "LS": ["Basutoland"], "MW": ["Nyasaland"], "ZM": ["Northern Rhodesia"],
    "ZW": ["Rhodesia", "Southern Rhodesia"], "BZ": ["British Honduras"], "SR": ["Dutch Guiana"],
    "GY": ["British Guiana"], "GQ": ["Spanish Guinea"], "GW": ["Portuguese Guinea"], "IE": ["Republic of Ireland"],
    "CN": ["People's Republic of China"], "RU": ["Russian Federation"], "DE": ["Federal Republic of Germany"],
    "AT": ["Republic of Austria"], "AR": ["Argentine Republic"], "MX": ["United Mexican States"],
    "ZA": ["Republic of South Africa"], "AU": ["Commonwealth of Australia"], "BO": ["Plurinational State of Bolivia"],
}


def fold(name):
    plain = "".join(c for c in unicodedata.normalize("NFD", name) if not unicodedata.combining(c))
    return "".join(c for c in plain.lower() if c.isalnum())


def load(root, language, *path):
    name = os.path.join(root, *path)
    if not os.path.exists(name):
        return {}
    with open(name, encoding="utf-8") as f:
        return json.load(f)


def gather(into, code, name):
    name = name.replace("\u200b", "").replace("\u00ad", "").strip()
    known = into.setdefault(code, {})
    if name and fold(name) not in known:
        known[fold(name)] = name


def further(codes_csv, countries, divisions):
    """Adds the names of codes.csv, and returns the codes of countries."""
    codes = {}
    with open(codes_csv, encoding="utf-8") as f:
        for row in csv.DictReader(f):
            plain = row["name"].split("(")[0]
            if not row["alpha3"]:
                for name in re.split("[/;]", plain):
                    gather(divisions, row["code"], name)
            elif row["code"] in countries:
                codes[row["code"]] = [row["alpha3"], row["number"]]
                gather(countries, row["code"], plain)
    return codes


def write(name, title, package, rows, codes=None):
    with open(name, "w", encoding="utf-8", newline="") as f:
        f.write(NOTICE % (title, package))
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["code"] + (["alpha3", "number"] if codes else []) + ["names"])
        for code in sorted(rows):
            w.writerow([code] + (codes[code] if codes else []) + ["|".join(rows[code].values())])


def main(names, divisions, codes_csv, countries_csv, divisions_csv):
    countries = {}
    for language in COUNTRY_LANGUAGES:
        data = load(names, language, "main", language, "territories.json")
        if data:
            for key, name in data["main"][language]["localeDisplayNames"]["territories"].items():
                code, _, variant = key.partition("-alt-")
                if len(code) == 2 and code.isalpha() and (variant != "short" or language == "en" and code in ("US", "GB")):
                    gather(countries, code, name)
    for code, older in OLDER.items():
        for name in older:
            gather(countries, code, name)
    for code in "AC CP CQ DG EA EU EZ IC QO TA UN XA XB XK ZZ".split():  # not assigned in ISO 3166-1
        countries.pop(code, None)
    found = {}
    for language in DIVISION_LANGUAGES:
        data = load(divisions, language, "subdivisions", language, language + ".json")
        if not data:
            continue
        for key, name in data["subdivisions"]["localeDisplayNames"]["subdivisions"].items():
            code = key.upper()
            gather(found, code[:2] + "-" + code[2:], name)
    codes = further(codes_csv, countries, found)
    write(countries_csv, "Codes and names of the countries of ISO 3166-1, names separated by |.", "cldr-localenames-full", countries, codes)
    write(divisions_csv, "Names of the divisions of ISO 3166-2, separated by |.", "cldr-subdivisions-full", found)


if __name__ == "__main__":
    main(*sys.argv[1:])
