"""Writes sun_random_positions.csv: a thousand random places and times, by a general astronomy library.

Not run by any test: a development check, kept so that the rows can be made again.

    python3 -m venv v && v/bin/pip install numpy==2.4.6 astropy==8.0.2
    v/bin/python cases/solar/sun_random_positions.py > cases/solar/sun_random_positions.csv

What is computed: direction to the sun's centre from a point on the WGS-84 ellipsoid, with light time, aberration,
precession and nutation and diurnal parallax, without air. Ephemeris: `epv00` of IAU SOFA, to which the library's routines
belong. Times are UT1 and each row carries the delta T it was computed with (Espenak & Meeus 2006, from memory), so that
neither UTC nor a table of measured delta T enters. The pole stands at its mean place: polar motion, under 0.5" or 0.00015
degrees (from memory), is left out here as in the program. Nothing is fetched.
"""

import sys

import astropy
import erfa
import numpy as np

SEED = 20261129
ROWS = 1000


def delta_t(year):
    """Espenak & Meeus 2006, the pieces for 1986 to 2050; a table of measured values would need the network."""
    t = year - 2000.0
    if year < 2005.0:
        return 63.86 + t * (0.3345 + t * (-0.060374 + t * (0.0017275 + t * (0.000651814 + t * 0.00002373599))))
    return 62.92 + t * (0.32217 + t * 0.005589)


def sun(ut1, dt, latitude, longitude, height):
    """Altitude, azimuth from north, distance: degrees and astronomical units."""
    day = 86400.0
    tt = (ut1[0], ut1[1] + dt / day)
    # Barycentric dynamical time differs from TT by under 2 ms: 2e-9 degrees of the sun.
    heliocentric, barycentric = erfa.epv00(*tt)
    # Observer on the turning ellipsoid, of date, in the celestial system.
    matrix = erfa.pnm06a(*tt)  # celestial to true equator of date
    gst = erfa.gst06a(*ut1, *tt)
    place = erfa.gd2gc(1, np.radians(longitude), np.radians(latitude), height)
    turn = erfa.rz(gst, np.eye(3))
    of_date = turn.T @ place
    speed = np.cross([0.0, 0.0, 7.292115855306589e-5], of_date)
    au = 149597870700.0
    observer = barycentric["p"] + (matrix.T @ of_date) / au
    velocity = barycentric["v"] + (matrix.T @ speed) / au * day
    sun_at = barycentric["p"] - heliocentric["p"]
    # Where the sun was when the light left; it hardly moves about the barycentre.
    towards = sun_at - observer
    distance = np.linalg.norm(towards)
    unit = towards / distance
    light = 299792458.0 * day / au
    v = velocity / light
    seen = erfa.ab(unit, v, np.linalg.norm(heliocentric["p"]), np.sqrt(1.0 - v @ v))
    true = turn @ (matrix @ seen)
    east = np.array([-np.sin(np.radians(longitude)), np.cos(np.radians(longitude)), 0.0])
    f, l = np.radians(latitude), np.radians(longitude)
    up = np.array([np.cos(f) * np.cos(l), np.cos(f) * np.sin(l), np.sin(f)])
    north = np.cross(up, east)
    e, n, u = true @ east, true @ north, true @ up
    return np.degrees(np.arctan2(u, np.hypot(e, n))), np.degrees(np.arctan2(e, n)) % 360.0, distance


def main():
    random = np.random.Generator(np.random.PCG64(SEED))
    print("# table:    topocentric direction of the sun's centre without air, random times 1990 to 2050 and places")
    print("# source:   general astronomy library astropy %s with the IAU SOFA routines %s, by sun_random_positions.py;" % (astropy.__version__, erfa.version.erfa_version))
    print("#           precession-nutation IAU 2006/2000A, ephemeris epv00, delta T of Espenak & Meeus 2006")
    print("# standing: derived")
    print("# columns:  julian date UT1, delta T s, latitude and longitude deg (east positive), height m, altitude deg,")
    print("#           azimuth deg from true north, distance au")
    print("jd_ut1,delta_t_s,lat_deg,lon_east_deg,elev_m,alt_airless_deg,az_from_north_deg,sun_dist_au")
    for _ in range(ROWS):
        # Whole seconds of the day, so that the printed number is the number computed with.
        date = 2447892.5 + random.integers(0, 21915)
        second = int(random.integers(0, 86400))
        # Even over the globe, not crowded at the poles.
        latitude = round(float(np.degrees(np.arcsin(random.uniform(-1.0, 1.0)))), 5)
        longitude = round(float(random.uniform(-180.0, 180.0)), 5)
        height = float(random.integers(0, 5000))
        dt = round(delta_t(2000.0 + (date - 2451544.5) / 365.25), 3)
        jd = round(date + second / 86400.0, 8)
        ut1 = (np.floor(jd), jd - np.floor(jd))
        altitude, azimuth, distance = sun(ut1, dt, latitude, longitude, height)
        print(f"{jd:.8f},{dt:.3f},{latitude:.5f},{longitude:.5f},{height:.0f},{altitude:.6f},{azimuth:.6f},{distance:.8f}")


if __name__ == "__main__":
    sys.exit(main())
