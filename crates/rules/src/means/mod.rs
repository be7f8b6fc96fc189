//! Means of disconnecting.

pub(crate) mod building_without_disconnect;
pub(crate) mod disconnect_unfit;
pub(crate) mod dwelling_without_surge_device;
pub(crate) mod pv_without_disconnect;
pub(crate) mod service_without_emergency_disconnect;
pub(crate) mod storage_place;
pub(crate) mod storage_place_britain;
pub(crate) mod storage_without_disconnect;
pub(crate) mod working_space;
