#!/usr/bin/python3
"""Writes mappings/datums.csv and mappings/datum_shifts.csv from the EPSG
dataset that PROJ carries (proj.db). Run: /usr/bin/python3 place_datums.py
"""
import csv, os, re, sqlite3

DB = "/usr/share/proj/proj.db"
HERE = os.path.dirname(os.path.abspath(__file__))
OUT = os.path.join(HERE, "..", "..", "mappings")

# Datums that field sheets and maps name, by EPSG code of the geographic 2D
# system; beside it the spellings in use besides the official ones.
DATUMS = {
    4326: "WGS84|WGS 1984|World Geodetic System 1984|WGS|GPS|EPSG:6326|EPSG:4979",
    4322: "WGS72|WGS 1972|World Geodetic System 1972",
    4267: "NAD27|NAD 1927|North American 1927|NAD27 CONUS|NAD27 Canada|NAD27 Mexico|NAD27 Central|NAD27 Alaska",
    4269: "NAD83|NAD 1983|North American 1983",
    4152: "NAD83 HARN|HARN",
    4617: "NAD83 CSRS|CSRS",
    6318: "NAD83 2011",
    4135: "Old Hawaiian",
    4139: "Puerto Rico",
    4230: "ED50|European 1950|European Datum 1950|Europe 1950|ED 1950",
    4231: "ED87|European Datum 1987",
    4258: "ETRS89|ETRS 1989|ETRF89|European Terrestrial Reference System 1989",
    4277: "OSGB36|OSGB 1936|OSGB|Ordnance Survey 1936|Airy 1936",
    4299: "TM65|Ireland 1965",
    4300: "TM75",
    4275: "NTF",
    4171: "RGF93",
    4314: "DHDN|Potsdam|Rauenberg",
    4312: "MGI",
    4149: "CH1903|CH 1903",
    4289: "Amersfoort",
    4313: "BD72|Belge 1972|Belgian 1972",
    4265: "Monte Mario|Rome 1940",
    4207: "Lisbon",
    4274: "Datum 73",
    4124: "RT90|RT 90",
    4619: "SWEREF99|SWEREF 99",
    4273: "NGO48|NGO 1948",
    4123: "KKJ",
    4156: "S-JTSK",
    4121: "GGRS87",
    4237: "HD72",
    4284: "Pulkovo 1942|S-42|SK-42|Pulkovo",
    4178: "Pulkovo 1942 83",
    4179: "Pulkovo 1942 58",
    4200: "Pulkovo 1995|SK-95",
    4659: "ISN93",
    4283: "GDA94|GDA 1994",
    7844: "GDA2020|GDA 2020",
    4202: "AGD66|AGD 1966|Australian Geodetic 1966",
    4203: "AGD84|AGD 1984|Australian Geodetic 1984",
    4272: "NZGD49|NZGD 1949|Geodetic Datum 1949",
    4167: "NZGD2000|NZGD 2000",
    4618: "SAD69|SAD 69|South American 1969",
    4248: "PSAD56|PSAD 56|Provisional South American 1956",
    4674: "SIRGAS2000|SIRGAS 2000|SIRGAS",
    4225: "Corrego Alegre|Corrego Alegre 1970-72",
    4221: "Campo Inchauspe",
    4190: "POSGAR98|POSGAR 98|POSGAR",
    4254: "Hito XVIII",
    4218: "Bogota 1975|Bogota Observatory|Bogota",
    4686: "MAGNA-SIRGAS|MAGNA",
    4247: "La Canoa",
    4189: "REGVEN",
    4309: "Yacare",
    4208: "Aratu",
    4242: "JAD69|Jamaica 1969",
    4216: "Bermuda 1957",
    4301: "Tokyo",
    4612: "JGD2000",
    6668: "JGD2011",
    4737: "Korea 2000",
    4214: "Beijing 1954",
    4236: "Hu Tzu Shan|Hu-Tzu-Shan",
    4253: "Luzon|Luzon 1911",
    4240: "Indian 1975",
    4239: "Indian 1954",
    4131: "Indian 1960",
    4756: "VN-2000|VN2000",
    4245: "Kertau|Kertau 1968",
    4298: "Timbalai|Timbalai 1948",
    4211: "Batavia|Djakarta",
    4238: "ID74|Indonesian 1974",
    4222: "Cape",
    4148: "Hartebeesthoek94|Hartebeesthoek",
    4209: "Arc 1950|Arc50",
    4210: "Arc 1960|Arc60",
    4201: "Adindan",
    4263: "Minna",
    4250: "Leigon",
    4251: "Liberia 1964",
    4262: "Massawa",
    4297: "Tananarive",
    4204: "Ain el Abd|Ain el Abd 1970",
    4270: "Nahrwan|Nahrwan 1967",
    4229: "Egypt 1907|Old Egyptian",
    4143: "Abidjan 1987", 4155: "Dabola 1981", 4261: "Merchich",
    4307: "Nord Sahara 1959", 4223: "Carthage", 4159: "ELD79|European Libyan Datum 1979",
    4192: "Douala 1948", 4266: "M'poraloko", 4282: "Pointe Noire", 4311: "Zanderij", 4623: "CSG67",
    4302: "Trinidad 1903", 4212: "Barbados 1938", 4601: "Antigua 1943", 4602: "Dominica 1945",
    4603: "Grenada 1953", 4606: "St Lucia 1955", 4607: "St Vincent 1945", 4622: "Guadeloupe 1948",
    4625: "Martinique 1938", 4626: "Reunion 1947", 4721: "Fiji 1956", 4718: "Solomon 1968",
    4675: "Guam 1963", 4169: "American Samoa 1962", 4244: "Kandawala", 4144: "Kalianpur 1937",
    4145: "Kalianpur 1962", 4146: "Kalianpur 1975", 4682: "Gulshan 303",
    4658: "Hjorsey 1955",
}

# Names of countries as the areas of use begin or list them, with ISO 3166 codes.
COUNTRIES = {
    "Canada": "CA", "United States (USA)": "US", "Mexico": "MX", "Cuba": "CU",
    "Panama": "PA", "Bahamas": "BS", "Belize": "BZ", "Costa Rica": "CR",
    "El Salvador": "SV", "Guatemala": "GT", "Honduras": "HN", "Nicaragua": "NI",
    "Jamaica": "JM", "Puerto Rico": "PR", "Bermuda": "BM",
    "Spain": "ES", "Portugal": "PT", "France": "FR", "Italy": "IT", "Greece": "GR",
    "Germany": "DE", "Austria": "AT", "Switzerland": "CH", "Netherlands": "NL",
    "Belgium": "BE", "Luxembourg": "LU", "Denmark": "DK", "Norway": "NO",
    "Sweden": "SE", "Finland": "FI", "United Kingdom (UK)": "GB", "Ireland": "IE",
    "Poland": "PL", "Czechia": "CZ", "Slovakia": "SK", "Hungary": "HU",
    "Romania": "RO", "Bulgaria": "BG", "Albania": "AL", "Cyprus": "CY",
    "Malta": "MT", "Gibraltar": "GI", "Turkey": "TR", "Estonia": "EE",
    "Latvia": "LV", "Lithuania": "LT", "Belarus": "BY", "Ukraine": "UA",
    "Russian Federation": "RU", "Kazakhstan": "KZ", "Iceland": "IS",
    "Australia": "AU", "New Zealand": "NZ", "Papua New Guinea": "PG",
    "Brazil": "BR", "Argentina": "AR", "Chile": "CL", "Bolivia": "BO",
    "Peru": "PE", "Ecuador": "EC", "Colombia": "CO", "Venezuela": "VE",
    "Guyana": "GY", "Paraguay": "PY", "Uruguay": "UY", "Trinidad and Tobago": "TT",
    "Japan": "JP", "Republic of Korea (South Korea)": "KR", "China": "CN",
    "Taiwan": "TW", "Philippines": "PH", "Thailand": "TH", "Vietnam": "VN",
    "Malaysia": "MY", "Singapore": "SG", "Indonesia": "ID", "Brunei": "BN",
    "South Africa": "ZA", "Botswana": "BW", "Lesotho": "LS", "Malawi": "MW",
    "Eswatini": "SZ", "Swaziland": "SZ", "Zambia": "ZM", "Zimbabwe": "ZW",
    "Burundi": "BI", "Kenya": "KE", "Tanzania": "TZ", "Uganda": "UG",
    "Ethiopia": "ET", "Sudan": "SD", "Mali": "ML", "Senegal": "SN",
    "Cameroon": "CM", "Burkina Faso": "BF", "Angola": "AO", "Nigeria": "NG",
    "Ghana": "GH", "Liberia": "LR", "Eritrea": "ER", "Madagascar": "MG",
    "Saudi Arabia": "SA", "Egypt": "EG", "Oman": "OM", "Qatar": "QA",
    "Iran": "IR", "Iraq": "IQ", "United Arab Emirates (UAE)": "AE",
}

METHODS = {"9603": 1, "9606": 1, "9607": -1}  # sign that makes the rotations position-vector
SECOND = {"9104": 1.0, "1031": 1e-3, "9109": 1e-6 / 4.84813681109535993589914102357e-6,
          "9101": 1 / 4.84813681109535993589914102357e-6, "9113": 1e-4 * 3600 * 0.9}
METRE = {"9001": 1.0, "1025": 1e-3}
PPM = {"9202": 1.0, "1028": 1e-3}


def number(v):
    return format(v, ".12g") if v else "0"


def countries(text):
    found = []
    for name, code in COUNTRIES.items():
        if re.search(r"(?<![A-Za-z])" + re.escape(name) + r"(?![A-Za-z])", text):
            if name == "Mexico" and not re.search(r"(?<!New )(?<!Gulf of )Mexico", text):
                continue
            if name == "Guyana" and "French Guyana" in text:
                continue
            if name == "Ireland" and not re.search(r"(?<!Northern )Ireland", text):
                continue
            found.append(code)
    return "|".join(sorted(set(found)))


def main():
    db = sqlite3.connect(DB)
    meta = dict(db.execute("select key, value from metadata"))
    source = "EPSG dataset %s of %s, as carried by PROJ %s" % (
        meta["EPSG.VERSION"], meta["EPSG.DATE"], meta["PROJ.VERSION"])
    with open(os.path.join(OUT, "datums.csv"), "w", newline="") as f:
        f.write("# Geodetic datums and their ellipsoids: codes, names, axis in metres, inverse flattening. "
                "Source: %s; synonyms: common practice. Written by testdata/reference/place_datums.py.\n" % source)
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["code", "name", "synonyms", "ellipsoid", "a", "inverseFlattening"])
        for code, more in DATUMS.items():
            name, datum, dcode, ell, a, rf, b = db.execute(
                "select g.name, d.name, d.code, e.name, e.semi_major_axis * u.conv_factor, e.inv_flattening, e.semi_minor_axis * u.conv_factor "
                "from geodetic_crs g join geodetic_datum d on d.auth_name='EPSG' and d.code=g.datum_code "
                "join ellipsoid e on e.auth_name='EPSG' and e.code=d.ellipsoid_code "
                "join unit_of_measure u on u.auth_name=e.uom_auth_name and u.code=e.uom_code "
                "where g.auth_name='EPSG' and g.code=? and d.prime_meridian_code='8901'", (str(code),)).fetchone()
            rf = rf or a / (a - b)
            names = []
            for s in [name, datum] + more.split("|") + ["EPSG:%s" % dcode]:
                if s not in names:
                    names.append(s)
            w.writerow(["EPSG:%d" % code, name, "|".join(names), ell, repr(a), repr(rf)])
    with open(os.path.join(OUT, "datum_shifts.csv"), "w", newline="") as f:
        f.write("# Shifts to WGS 84: geocentric translation (m), position-vector rotation (arc seconds), scale (ppm), "
                "stated accuracy (m), area of use (degrees). Source: %s. Written by testdata/reference/place_datums.py.\n" % source)
        w = csv.writer(f, lineterminator="\n")
        w.writerow("code,operation,dx,dy,dz,rx,ry,rz,s,accuracy,area,south,west,north,east,countries".split(","))
        for code in DATUMS:
            rows = db.execute(
                "select distinct h.code, h.method_code, h.tx, h.ty, h.tz, h.translation_uom_code, h.rx, h.ry, h.rz, "
                "h.rotation_uom_code, h.scale_difference, h.scale_difference_uom_code, h.accuracy, "
                "x.name, x.description, x.south_lat, x.west_lon, x.north_lat, x.east_lon "
                "from helmert_transformation_table h "
                "join usage u on u.object_table_name='helmert_transformation' and u.object_auth_name='EPSG' and u.object_code=h.code "
                "join extent x on x.auth_name=u.extent_auth_name and x.code=u.extent_code "
                "where h.auth_name='EPSG' and h.source_crs_code=? and h.target_crs_code='4326' and h.deprecated=0 "
                "and h.accuracy is not null and h.accuracy < 900 "
                # leave out what EPSG has replaced by another shift of this kind
                "and not exists (select 1 from supersession v join helmert_transformation_table r "
                "on r.auth_name=v.replacement_auth_name and r.code=v.replacement_code and r.deprecated=0 "
                "and r.source_crs_code=h.source_crs_code and r.target_crs_code='4326' "
                "where v.superseded_table_name='helmert_transformation' and v.replacement_table_name='helmert_transformation' "
                "and v.superseded_auth_name='EPSG' and v.superseded_code=h.code) "
                "order by cast(h.code as integer)", (str(code),)).fetchall()
            kept = 0
            for (op, method, tx, ty, tz, tu, rx, ry, rz, ru, s, su, acc, area, text, south, west, north, east) in rows:
                at_sea = re.search("offshore|GoM", area) and "onshore" not in area
                if str(method) not in METHODS or at_sea:
                    continue
                m, r, p, sign = METRE[str(tu)], SECOND.get(str(ru), 0), PPM.get(str(su), 0), METHODS[str(method)]
                w.writerow(["EPSG:%d" % code, "EPSG:%s" % op, number(tx * m), number(ty * m), number(tz * m)] +
                           [number((v or 0) * r * sign) for v in (rx, ry, rz)] +
                           [number((s or 0) * p), number(acc), area, number(south), number(west), number(north),
                            number(east), countries(text)])
                kept += 1
            if not kept and code != 4326:
                print("no shift for", code)


main()
