//! Array: a textbook's worked examples of light on planes.

use array::perez::PerezSky;
use array::plane::Plane;
use array::rows::profile_angle_rad;
use array::transposition::{Sky, SkyModel};

use crate::array_rows::on;
use crate::cases::rows;
use crate::record::{Digits, Section, Standing};
use crate::sun_rows::sun_at;

pub(crate) fn add(section: &mut Section) {
    even_sky(section);
    geometry(section);
    perez(section);
}

fn even_sky(section: &mut Section) {
    // Sun of the hour's middle (9:30 solar, hour angle −37.5°), declination of day 51 −11.58°, latitude 40°:
    // cos z = sin 40 sin(−11.58) + cos 40 cos(−11.58) cos 37.5 = 0.4663, zenith 62.21°; azimuth 42.39° east of south.
    let (zenith, azimuth) = (62.21_f64, 180.0 - 42.39);
    let table = rows("textbook_tilted_surface.csv");
    let answers = |id: &str| -> Vec<String> {
        let row = table.iter().find(|row| row.text("id") == id).expect("the row of the example");
        row.text("published_answer").split('/').map(|part| part.trim().to_owned()).collect()
    };
    let one = |id: &str| answers(id)[0].parse::<f64>().expect("a number");
    let sky = Sky {
        zenith_deg: zenith,
        azimuth_deg: azimuth,
        extraterrestrial_w_m2: 1400.0,
        relative_air_mass: 2.1,
        ghi_w_m2: 1.04e6 / 3600.0,
        dni_w_m2: one("DB-2.15.1d") * 1e6 / 3600.0 / zenith.to_radians().cos(),
        dhi_w_m2: one("DB-2.15.1c") * 1e6 / 3600.0,
        albedo: 0.60,
    };
    let parts = on(SkyModel::Isotropic, &sky, &Plane::new(60.0, 180.0).expect("a plane"));
    // Example 1.6.1: 43° N, declination −14°, hour angle −22.5°, 45° steep, 15° west of south; sun by hand: sine of its height
    // sin 43 sin(−14) + cos 43 cos(−14) cos 22.5 = 0.4906, zenith 60.62°, azimuth 25.23° east of south.
    let roof = Plane::new(45.0, 195.0).expect("a plane");
    let incidence = roof.angle_of_incidence_deg(60.62, 154.77);
    let ratio = incidence.to_radians().cos() / 60.62_f64.to_radians().cos();
    section.example(
        "Cosine of incidence, and beam on the plane over beam on the level",
        "Duffie & Beckman, Solar Engineering of Thermal Processes, examples 1.6.1 and 1.8.1",
        &Digits::within(1.0, "the source works on with 0.817 and a zenith rounded to a tenth")
            .is(incidence.to_radians().cos(), "0.817")
            .is(ratio, "1.66"),
        Standing::SecondHand,
    );
    let megajoule = |value: f64| value * 3600.0 / 1e6;
    let expected = answers("DB-2.15.1f");
    let figures =
        Digits::within(1.5, "the source works on with Rb rounded to 1.71, worth one unit of the beam")
            .is(megajoule(parts.beam_w_m2), &expected[0])
            .is(megajoule(parts.sky_w_m2), &expected[1])
            .is(megajoule(parts.ground_w_m2), &expected[2])
            .is(megajoule(parts.total_w_m2()), &answers("DB-2.15.1g")[0]);
    section.example(
        "Beam, sky, ground and total of one hour, MJ/m²",
        "Duffie & Beckman, Solar Engineering of Thermal Processes, example 2.15.1",
        &figures,
        Standing::Remembered,
    );
}

fn geometry(section: &mut Section) {
    let book = "Duffie & Beckman, Solar Engineering of Thermal Processes, example";
    let sun = sun_at(43.0, -2.4, 60.0);
    let profile = profile_angle_rad(90.0 - sun.zenith_airless_deg, sun.azimuth_deg - 205.0).to_degrees();
    section.example(
        "Profile angle on a plane 25° west of south",
        &format!("{book} 1.6.3: 43° N, 16 March, 16:00 solar"),
        &Digits::within(
            1.0,
            "the source works on with angles rounded to a tenth; remembered as 25.6 to 25.7",
        )
        .is(profile, "25.7"),
        Standing::Remembered,
    );
    let sun = sun_at(40.0, 21.0, 30.0);
    let least = (0..=9000)
        .map(|step| Plane::new(f64::from(step) / 100.0, 180.0).expect("a plane"))
        .map(|plane| plane.angle_of_incidence_deg(sun.zenith_airless_deg, sun.azimuth_deg))
        .fold(f64::INFINITY, f64::min);
    section.example(
        "Least angle of incidence of a plane that turns about a level east-west axis",
        &format!("{book} 1.7.1: 40° N, declination 21°, hour angle 30°; the best of all tilts to a hundredth of a degree"),
        &Digits::new().is(least, "27.8"),
        Standing::Remembered,
    );
}

/// The hour of example 2.15.1 under the Perez sky, whose answers were derived with the printed three-decimal coefficients.
fn perez(section: &mut Section) {
    let sun = sun_at(40.0, sun::cooper_declination_deg(51.0), -37.5);
    let level = sun.zenith_airless_deg.to_radians().cos();
    let watts = |megajoule: f64| megajoule * 1e6 / 3600.0;
    let sky = Sky {
        zenith_deg: sun.zenith_airless_deg,
        azimuth_deg: sun.azimuth_deg,
        extraterrestrial_w_m2: 1367.0 * sun::simple_normal_factor(51.0),
        relative_air_mass: 1.0 / level,
        ghi_w_m2: watts(1.04),
        dni_w_m2: watts(0.2439) / level,
        dhi_w_m2: watts(0.7961),
        albedo: 0.60,
    };
    let state = PerezSky::new(
        sky.dni_w_m2,
        sky.dhi_w_m2,
        sky.zenith_deg.to_radians(),
        sky.extraterrestrial_w_m2,
        sky.relative_air_mass,
    );
    let total = on(SkyModel::Perez, &sky, &Plane::new(60.0, 180.0).expect("a plane")).total_w_m2();
    let book =
        "Duffie & Beckman, Solar Engineering of Thermal Processes, example 2.16.2, answers worked out anew";
    section.example(
        "Perez clearness, brightness and bin of one hour",
        book,
        &Digits::within(1.5, "beam and diffuse light are given to four digits, worth one of the answer")
            .is(state.clearness, "1.2817")
            .is(state.brightness, "0.3397")
            .says("bin 3", state.bin == 3),
        Standing::Derived,
    );
    section.example(
        "Perez coefficients F1 and F2 of the same",
        book,
        &Digits::within(
            13.0,
            "the answers use coefficients of three decimals: 0.0005 · (1 + Δ 0.34 + z 1.09) = 0.0012, and half a digit",
        )
        .is(state.circumsolar, "0.2555")
        .is(state.horizon, "0.0050"),
        Standing::Derived,
    );
    section.example(
        "Total on the plane of the same, MJ/m²",
        book,
        &Digits::within(
            18.0,
            "0.0012 of F1 and of F2 each: 0.796 · 0.0012 · (1.71 − 0.75 + sin 60°) = 0.0017, and half a digit",
        )
        .is(total * 3600.0 / 1e6, "1.3703"),
        Standing::Derived,
    );
}
