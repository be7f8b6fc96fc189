//! Where things stand and face.

pub(crate) mod bearing_away_from_noon;
pub(crate) mod bearings_disagree;
pub(crate) mod compass_without_declination;
pub(crate) mod declination_of_elsewhere;
pub(crate) mod room_too_hot;
pub(crate) mod weather_cannot_be_true;
pub(crate) mod zone_of_elsewhere;
