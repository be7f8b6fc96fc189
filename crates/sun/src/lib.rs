//! Where the sun is, when it rises and sets, and how strong it is outside and under a clear atmosphere.
//!
//! Angles are degrees at every public border: azimuth clockwise from true north, longitude east positive, latitude
//! north positive. Energy is per square metre of a horizontal surface unless a name says `normal`.
//!
//! Start with [`Observer`] (a place), then [`SunPosition::at`] (one instant), [`DayEvents`] (one local day) or
//! [`YearSky`] (the 8760 hours of the nominal calendar that every weather year shares).

mod angle;
mod observer;
mod time;

mod day;
mod ephemeris;
mod geocentric;
mod periodic_terms;
mod position;

mod air_mass;
mod clear_sky;
mod extraterrestrial;

mod calendar;

mod magnetic;
mod noon;

pub use air_mass::{absolute_air_mass, pressure_at_hpa, relative_air_mass};
pub use calendar::{
    DAYS, HOURS, MONTH_DAYS, NOMINAL_YEAR, YearSky, day_of_hour, month_of_day, month_of_hour, month_start_day,
};
pub use clear_sky::{
    ASSUMED_LINKE_TURBIDITY, ClearSky, clean_dry_beam_share, clean_dry_global_share,
    clean_dry_optical_thickness, haurwitz_ghi, ineichen_perez,
};
pub use day::{DayEvents, Daylight, HORIZON_ALTITUDE_DEG};
pub use ephemeris::Ephemeris;
pub use extraterrestrial::{
    SOLAR_CONSTANT_W_M2, cooper_declination_deg, daily_horizontal_mj_m2, normal_at_distance_w_m2,
    simple_normal_factor, spencer_equation_of_time_min, spencer_normal_factor, sunset_hour_angle_deg,
};
pub use geocentric::Geocentric;
pub use magnetic::{
    BLACKOUT_HORIZONTAL_NT, CAUTION_HORIZONTAL_NT, Declination, MAGNETIC_MODEL_YEARS, MagneticField,
    MagneticZone, OutsideMagneticModel, decimal_year, magnetic_declination, magnetic_field,
};
pub use noon::{TROPIC_DEG, noon_sun_towards_equator};
pub use observer::{BadObserver, Observer};
pub use position::{Refraction, SunPosition, refraction_deg};
pub use time::{delta_t_s, is_leap_year, julian_day};
