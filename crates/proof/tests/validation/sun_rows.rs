//! Sun: positions, rise and set, air mass, clear skies.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::{Rng, SeedableRng};
use sun::{
    DayEvents, Daylight, Geocentric, Observer, Refraction, SOLAR_CONSTANT_W_M2, SunPosition,
    cooper_declination_deg, daily_horizontal_mj_m2, delta_t_s, haurwitz_ghi, ineichen_perez, julian_day,
    magnetic_declination, magnetic_field, relative_air_mass, simple_normal_factor,
    spencer_equation_of_time_min, spencer_normal_factor, sunset_hour_angle_deg,
};

use crate::cases::{Row, quantities, rows, text};
use crate::record::{Allowed, Digits, Largest, Section, Standing};

pub(crate) fn sections() -> Vec<Section> {
    vec![positions(), radiation(), compass()]
}

fn instant(text: &str) -> f64 {
    let mut parts = text.split(['-', 'T', ':']).map(|part| part.parse::<u32>().expect("a number"));
    let mut next = || parts.next().unwrap_or(0);
    let (year, month, day) = (next(), next(), next());
    let hour = f64::from(next()) + f64::from(next()) / 60.0 + f64::from(next()) / 3600.0;
    julian_day(i32::try_from(year).expect("a year"), month, day, hour)
}

fn positions() -> Section {
    let mut section = Section::new(
        "Sun: where it stands",
        "Model: Reda & Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302, revised \
         January 2008.",
    );
    let [mut altitude, mut across, mut refracted, mut distance]: [Largest; 4] = Default::default();
    for row in rows("sun_positions.csv") {
        let mut observer =
            Observer::new(row.number("lat_deg"), row.number("lon_east_deg"), row.number("elev_m"))
                .expect("a place");
        observer.pressure_hpa = row.number("pressure_hPa");
        observer.temperature_c = row.number("temp_C");
        let sun = SunPosition::at(instant(row.text("time_ut1")), row.number("delta_t_s"), &observer);
        let wanted = row.number("alt_airless_deg");
        altitude.see(90.0 - sun.zenith_airless_deg - wanted);
        // Near the zenith a small angle on the sky is a large difference of azimuth.
        let turn = (sun.azimuth_deg - row.number("az_from_north_deg") + 540.0).rem_euclid(360.0) - 180.0;
        across.see(turn * wanted.to_radians().cos());
        if wanted > 0.0 {
            refracted.see(90.0 - sun.zenith_apparent_deg - row.number("alt_refracted_saemundsson_deg"));
        }
        distance.see(sun.distance_au - row.number("sun_dist_au"));
    }
    let ephemeris = "JPL ephemeris DE421, IAU 2000A nutation; 1990 to 2050, all latitudes, heights and seasons \
                     (`cases/solar/sun_positions.csv`)";
    let promise = "the promise of the program; the algorithm claims 0.0003°";
    section.row(
        "Altitude without air",
        ephemeris,
        &altitude,
        "°",
        Allowed(0.001, promise),
        Standing::Derived,
    );
    section.row(
        "Azimuth, across the sky",
        ephemeris,
        &across,
        "°",
        Allowed(0.001, promise),
        Standing::Derived,
    );
    let formulas = "two published formulas of refraction differ by 0.0021°";
    let air = "the same with the refraction formula of Saemundsson 1986, above the horizon";
    section.row("Altitude through air", air, &refracted, "°", Allowed(0.005, formulas), Standing::Derived);
    let light = "light time is 1e-5 au, far below what it moves";
    section.row("Distance of the sun", ephemeris, &distance, "au", Allowed(5e-5, light), Standing::Derived);

    let [mut on_the_sky, mut away]: [Largest; 2] = Default::default();
    for row in rows("sun_random_positions.csv") {
        let observer = Observer::new(row.number("lat_deg"), row.number("lon_east_deg"), row.number("elev_m"))
            .expect("a place");
        let sun = SunPosition::at(row.number("jd_ut1"), row.number("delta_t_s"), &observer);
        let height = row.number("alt_airless_deg");
        let turn = (sun.azimuth_deg - row.number("az_from_north_deg") + 540.0).rem_euclid(360.0) - 180.0;
        on_the_sky.see((90.0 - sun.zenith_airless_deg - height).hypot(turn * height.to_radians().cos()));
        away.see(sun.distance_au - row.number("sun_dist_au"));
    }
    let library = "a general astronomy library with the IAU SOFA routines, IAU 2006/2000A, no air, no polar motion, the same \
                   UT1 and ΔT; random places, times 1990 to 2050 (`cases/solar/sun_random_positions.csv`, made by the script \
                   beside it)";
    section.row(
        "Direction, on the sky",
        library,
        &on_the_sky,
        "°",
        Allowed(0.000_35, "the algorithm claims 0.0003°; instants are printed to 1e-8 day, 4e-6°"),
        Standing::Derived,
    );
    let parallax =
        "the rows count from the place, the program from the earth's centre: 6378 km is 4.26e-5 au";
    section.row("Distance of the sun", library, &away, "au", Allowed(5e-5, parallax), Standing::Derived);

    let published = |name: &str| -> String {
        let file = text("spa_worked_example.toml");
        let line =
            file.lines().find(|line| line.starts_with(name)).expect("a line of the example").to_owned();
        let value = line.split('=').nth(1).and_then(|rest| rest.split('#').next()).expect("a value");
        value.trim().to_owned()
    };
    let mut observer = Observer::new(39.742476, -105.1786, 1830.14).expect("a place");
    observer.pressure_hpa = 820.0;
    observer.temperature_c = 11.0;
    let noon = julian_day(2003, 10, 17, 12.0 + 30.0 / 60.0 + 30.0 / 3600.0 + 7.0);
    let sun = SunPosition::at(noon, 67.0, &observer);
    let figures = Digits::new()
        .is(sun.zenith_apparent_deg, &published("zenith_deg"))
        .is(sun.azimuth_deg, &published("azimuth_from_north_deg"));
    section.example(
        "Zenith and azimuth of the worked example",
        "Reda & Andreas 2008, Table A5.1: 17 October 2003, 12:30:30, UT−7",
        &figures,
        Standing::SecondHand,
    );
    let figures = Digits::new()
        .is(90.0 - sun.zenith_airless_deg, &published("elevation_without_refraction_deg"))
        .is(sun.declination_deg, &published("topocentric_declination_deg"));
    section.example(
        "Elevation without refraction and declination of the same",
        "Reda & Andreas 2008, Table A5.1",
        &figures,
        Standing::Remembered,
    );
    let lifted = sun.zenith_deg(Refraction::Airless) - sun.zenith_deg(Refraction::Report);
    section.example(
        "How far the air lifts the sun of the same: zenith without refraction less zenith with it",
        "Reda & Andreas 2008, Table A5.1",
        &Digits::within(1.0, "the source's height, known to 3e-5°, moves it by less than a last digit")
            .is(lifted, &published("refraction_correction_deg")),
        Standing::Remembered,
    );

    let [mut low, mut high]: [Largest; 2] = Default::default();
    let mut polar = Vec::new();
    for row in rows("sun_riseset.csv") {
        rise_and_set(&row, &mut low, &mut high, &mut polar);
    }
    let table = "JPL ephemeris DE421, centre of the disc at −0.8333° (`cases/solar/sun_riseset.csv`)";
    let seconds = "the promise of the program; refraction at the horizon varies by more in reality";
    section.row(
        "Rise, transit and set below 60° of latitude",
        table,
        &low,
        "s",
        Allowed(5.0, seconds),
        Standing::Derived,
    );
    let grazing = "the sun grazes the horizon there, so a thousandth of a degree is seconds";
    section.row(
        "Rise, transit and set above 60°",
        table,
        &high,
        "s",
        Allowed(60.0, grazing),
        Standing::Derived,
    );
    let verdicts: Vec<(&str, bool)> = polar.iter().map(|holds| ("day without rise or set", *holds)).collect();
    section.verdicts("Midnight sun and polar night are told apart", table, &verdicts, Standing::Derived);

    let mut gap = Largest::default();
    let mut random = Pcg64::seed_from_u64(20030);
    let mut uniform =
        |low: f64, high: f64| low + (high - low) * (random.next_u64() >> 11) as f64 / (1u64 << 53) as f64;
    for _ in 0..1000 {
        let jd = uniform(julian_day(1950, 1, 1, 0.0), julian_day(2100, 1, 1, 0.0));
        let (latitude, longitude, height) =
            (uniform(-89.9, 89.9), uniform(-180.0, 180.0), uniform(0.0, 5000.0));
        gap.see(other_implementation(jd, latitude, longitude, height));
    }
    let words = "both sum the same series; what is left is rounding of Julian days and large angles";
    section.row(
        "Position, on the sky",
        "an independent open implementation of the same algorithm, random times 1950 to 2100 and places",
        &gap,
        "°",
        Allowed(1e-5, words),
        Standing::Derived,
    );
    section
}

fn rise_and_set(row: &Row, low: &mut Largest, high: &mut Largest, polar: &mut Vec<bool>) {
    let (latitude, longitude) = (row.number("lat_deg"), row.number("lon_east_deg"));
    let observer = Observer::new(latitude, longitude, row.number("elev_m")).expect("a place");
    let date: Vec<i32> =
        row.text("date_local_mean_solar").split('-').map(|part| part.parse().expect("a number")).collect();
    // A clock of local mean time makes the date's noon the one the table means.
    let offset = longitude / 15.0;
    let (month, day) = (date[1].unsigned_abs(), date[2].unsigned_abs());
    let day = DayEvents::of(date[0], month, day, offset, row.number("delta_t_s"), &observer);
    let largest = if latitude.abs() < 60.0 { low } else { high };
    let mut see = |local: f64, column: &str| largest.see((local - offset - row.number(column)) * 3600.0);
    see(day.transit_h, "transit_ut1_h");
    match (row.text("status"), day.daylight) {
        ("normal", Daylight::Normal { sunrise_h, sunset_h }) => {
            see(sunrise_h, "sunrise_ut1_h");
            see(sunset_h, "sunset_ut1_h");
        }
        (status, found) => polar.push(matches!(
            (status, found),
            ("up_all_day", Daylight::UpAllDay) | ("down_all_day", Daylight::DownAllDay)
        )),
    }
}

fn other_implementation(jd: f64, latitude: f64, longitude: f64, height: f64) -> f64 {
    use solar_positioning::time::JulianDate;
    use solar_positioning::{Location, SolarPositions};
    let delta_t = delta_t_s(2000.0 + (jd - 2_451_545.0) / 365.25);
    let observer = Observer::new(latitude, longitude, height).expect("a place");
    let ours = SunPosition::at(jd, delta_t, &observer);
    let time = JulianDate::new(jd, delta_t).expect("a time");
    let theirs = SolarPositions::new()
        .at_from_julian(time, Location { latitude, longitude }, height, None)
        .expect("a position");
    let direction = |zenith: f64, azimuth: f64| {
        let (z, a) = (zenith.to_radians(), azimuth.to_radians());
        [z.sin() * a.sin(), z.sin() * a.cos(), z.cos()]
    };
    let a = direction(ours.zenith_airless_deg, ours.azimuth_deg);
    let b = direction(theirs.zenith_angle(), theirs.azimuth());
    a.iter().zip(b).map(|(x, y)| (x - y) * (x - y)).sum::<f64>().sqrt().to_degrees()
}

fn radiation() -> Section {
    let mut section = Section::new(
        "Sun: light outside and through clear air",
        "Tables of the published equations, evaluated apart from this program (`cases/solar/irradiance_checks.csv`). Not \
         compared, because the program has no such formula: of that file the clear sky of ASHRAE (`ashrae_tau_2009`, \
         `ashrae_tau_2013`) and the diffuse share of Orgill & Hollands (`orgill_hollands_hourly_diffuse_fraction`); of Duffie & \
         Beckman's examples 2.8.1 (clear sky of Hottel 1976). The shares of an hour in a mean day (`rt_collares_pereira_rabl`, \
         `rd_liu_jordan`) stand with the synthetic years, which are held against them. The two candidates for the clear beam \
         (`ineichen_perez_2002_dni_eq8_unclipped`, `ineichen_perez_2002_dni_upper_limit`) have no function of their own: the \
         beam below is the smaller of them.",
    );
    let mut table =
        |what: &str, source: &str, quantity: &str, unit: &str, limit: f64, of: &dyn Fn(&Row) -> f64| {
            let mut largest = Largest::default();
            for row in quantities("irradiance_checks.csv", quantity) {
                largest.see(of(&row) - row.number("value"));
            }
            section.row(
                what,
                source,
                &largest,
                unit,
                Allowed(limit, "half a unit of the last printed digit"),
                Standing::Derived,
            );
        };
    let x = |row: &Row, name: &str| row.input("inputs", name);
    table("Declination, simple", "Cooper 1969", "declination_cooper", "°", 5.1e-5, &|r| {
        cooper_declination_deg(x(r, "n"))
    });
    table("Equation of time", "Spencer 1971", "equation_of_time_spencer", "min", 5.1e-5, &|r| {
        spencer_equation_of_time_min(x(r, "n"))
    });
    let outside = "Duffie & Beckman, Solar Engineering of Thermal Processes, ch. 1";
    table(
        "Normal irradiance outside, simple",
        outside,
        "extraterrestrial_normal_simple_Gsc1367",
        "W/m²",
        5.1e-4,
        &|r| 1367.0 * simple_normal_factor(x(r, "n")),
    );
    table(
        "Normal irradiance outside",
        "Spencer 1971",
        "extraterrestrial_normal_spencer_Gsc1367",
        "W/m²",
        5.1e-4,
        &|r| 1367.0 * spencer_normal_factor(x(r, "n")),
    );
    table(
        "Day's sum outside, horizontal",
        outside,
        "daily_extraterrestrial_H0_Gsc1367",
        "MJ/m²",
        5.1e-5,
        &|r| {
            let n = x(r, "n");
            daily_horizontal_mj_m2(x(r, "lat"), cooper_declination_deg(n), 1367.0 * simple_normal_factor(n))
        },
    );
    table("Relative air mass", "Kasten & Young 1989", "kasten_young_1989_rel_airmass", "", 5.1e-5, &|r| {
        relative_air_mass(x(r, "zenith_apparent_deg"))
    });
    table("Clear sky, global, fallback", "Haurwitz 1945", "haurwitz_ghi", "W/m²", 5.1e-5, &|r| {
        haurwitz_ghi(x(r, "zenith_deg"))
    });
    let sky = |r: &Row| ineichen_perez(x(r, "apparent_zenith_deg"), x(r, "elev_m"), x(r, "TL"), 1366.1);
    let clear = "Ineichen & Perez 2002";
    table("Clear sky, global", clear, "ineichen_perez_2002_ghi_I0_1366.1", "W/m²", 5.1e-3, &|r| {
        sky(r).ghi_w_m2
    });
    table("Clear sky, beam", clear, "ineichen_perez_2002_dni_I0_1366.1", "W/m²", 5.1e-3, &|r| {
        sky(r).dni_w_m2
    });
    table("Clear sky, diffuse", clear, "ineichen_perez_2002_dhi_I0_1366.1", "W/m²", 5.1e-3, &|r| {
        sky(r).dhi_w_m2
    });

    let n = 105.0;
    let outside_day = daily_horizontal_mj_m2(
        43.0,
        cooper_declination_deg(n),
        SOLAR_CONSTANT_W_M2 * simple_normal_factor(n),
    );
    let figures = Digits::new()
        .is(spencer_equation_of_time_min(34.0), "-13.5")
        .is(outside_day, "33.8")
        .is(sunset_hour_angle_deg(43.0, -2.4), "87.8");
    section.example(
        "Equation of time on 3 February, day's sum outside at 43° N on 15 April, hour angle of sunset",
        "Duffie & Beckman, Solar Engineering of Thermal Processes, examples 1.5.1, 1.10.1 and 1.6.3",
        &figures,
        Standing::Remembered,
    );
    // Madison, 89.4° W, clock of 90° W, 3 February: four minutes to a degree of longitude.
    let madison = Observer::new(43.0, -89.4, 270.0).expect("a place");
    let noon = DayEvents::of(2003, 2, 3, -6.0, delta_t_s(2003.1), &madison).transit_h;
    section.example(
        "Solar less standard time at 89.4° W on 3 February, min, by the equation of time and by the sun's transit",
        "Duffie & Beckman, Solar Engineering of Thermal Processes, example 1.5.1",
        &Digits::new()
            .is(spencer_equation_of_time_min(34.0) + 4.0 * (90.0 - 89.4), "-11")
            .is(60.0 * (12.0 - noon), "-11"),
        Standing::Read,
    );
    section.example(
        "Relative air mass at the horizon",
        "Kasten & Young 1989, Applied Optics 28:4735: about 38",
        &Digits::new().is(relative_air_mass(90.0), "38"),
        Standing::Remembered,
    );
    section.example(
        "Zenith and bearing of the sun by its declination and hour angle",
        "Duffie & Beckman, Solar Engineering of Thermal Processes, examples 1.6.2 (43° N, 13 February, 9:30 solar) and 1.6.3 \
         (16 March, 16:00)",
        &textbook_sun(),
        Standing::Remembered,
    );
    section
}

/// A textbook's own declination and hour angle through the program's geometry of a place.
pub(crate) fn sun_at(latitude_deg: f64, declination_deg: f64, hour_angle_deg: f64) -> SunPosition {
    let observer = Observer::new(latitude_deg, 0.0, 0.0).expect("a place");
    let sun = Geocentric {
        right_ascension_deg: 0.0,
        declination_deg,
        distance_au: 1.0,
        sidereal_time_deg: hour_angle_deg.rem_euclid(360.0),
        equation_of_time_min: 0.0,
    };
    SunPosition::of(&sun, &observer)
}

fn textbook_sun() -> Digits {
    let (morning, afternoon) = (sun_at(43.0, -14.0, -37.5), sun_at(43.0, -2.4, 60.0));
    // The source counts from south, west positive.
    Digits::within(1.0, "the sun's parallax of 0.002°, and a figure that lies near the edge of its rounding")
        .is(morning.zenith_airless_deg, "66.5")
        .is(morning.azimuth_deg - 180.0, "-40")
        .is(afternoon.zenith_airless_deg, "70.3")
        .is(afternoon.azimuth_deg - 180.0, "66.8")
}

fn compass() -> Section {
    let mut section = Section::new(
        "Sun: from the compass to true north",
        "US/UK World Magnetic Model for 2025–2030, degree and order 12. What iron near by does to a needle is in no model.",
    );
    let [mut read, mut derived, mut field]: [Largest; 3] = Default::default();
    for row in rows("wmm2025_checks.csv") {
        let [latitude, longitude] = ["lat_deg", "lon_east_deg"].map(|name| row.number(name));
        let height_m = 1000.0 * row.number("height_km_ellipsoid");
        let year = row.number("decimal_year");
        let found = magnetic_declination(latitude, longitude, height_m, year).expect("inside the model");
        let parts = magnetic_field(latitude, longitude, height_m, year).expect("inside the model");
        if row.text("status").starts_with("D READ") {
            read.see(found.declination_deg - row.number("D_deg_2dp"));
        }
        derived.see(found.declination_deg - row.number("D_deg_4dp"));
        for (value, column) in [
            (parts.north_nt, "X_nT"),
            (parts.east_nt, "Y_nT"),
            (parts.down_nt, "Z_nT"),
            (found.horizontal_nt, "H_nT"),
        ] {
            field.see(value - row.number(column));
        }
    }
    let half = "half a unit of the last printed digit, and a fiftieth";
    section.row(
        "Declination, where the published table was read",
        "WMM2025 test values, NGA and DGC, in two independent reprints (`cases/solar/wmm2025_checks.csv`)",
        &read,
        "°",
        Allowed(5.1e-3, half),
        Standing::Read,
    );
    let synthesis =
        "another synthesis from the same coefficients, apart from this program, that gives the read rows";
    section.row(
        "Declination, all places and dates",
        synthesis,
        &derived,
        "°",
        Allowed(5.1e-5, half),
        Standing::Derived,
    );
    section.row(
        "North, east, down and horizontal field",
        synthesis,
        &field,
        "nT",
        Allowed(5.1e-3, half),
        Standing::Derived,
    );
    section
}
