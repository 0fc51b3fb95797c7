"""Names of months and days, and the letters of alphabets, as the Unicode Common
Locale Data Repository has them: babel 2.10.3 and PyICU 2.10.2 of Debian 12.

Run in this folder: /usr/bin/python3 names.py
"""
import csv
import icu
from babel import Locale

languages = ["en", "es", "pt", "fr", "de", "it", "nl"]
with open("names_calendar.csv", "w", newline="", encoding="utf-8") as f:
    w = csv.writer(f, lineterminator="\n")
    w.writerow(["kind", "language", "number", "name"])
    for language in languages:
        locale = Locale(language)
        for kind, table, shift in (("month", locale.months, 0), ("weekday", locale.days, 1)):
            names = set()
            for context in ("format", "stand-alone"):
                for width in ("wide", "abbreviated"):
                    names |= {(number + shift, name) for number, name in table[context][width].items()}
            for number, name in sorted(names):
                w.writerow([kind, language, number, name])

alphabets = "fr de es pt it ca nl da sv fi is cs sk pl hu ro hr tr et lv lt".split()
with open("names_letters.csv", "w", newline="", encoding="utf-8") as f:
    w = csv.writer(f, lineterminator="\n")
    w.writerow(["language", "letters", "also"])
    for language in alphabets:
        data = icu.LocaleData(language)
        sets = []
        for kind in (0, 1):  # the letters of the alphabet, and those of foreign words
            letters = set()
            for item in icu.UnicodeSet(data.getExemplarSet(0, kind)):
                letters |= {c for c in item if ord(c) > 127 and c.isalpha()}
            sets.append("".join(sorted(letters)))
        w.writerow([language] + sets)
