//! Where the user's data lives.

use std::ffi::OsString;
use std::path::PathBuf;

use etcetera::BaseStrategy;

use crate::error::FileError;

/// Overrides the user's data folder.
const HOME_VARIABLE: &str = "CANDLEMARK_HOME";

/// The folder that `CANDLEMARK_HOME` names; without that, `candlemark` in the system's folder for a user's data. It need
/// not exist yet.
///
/// # Errors
///
/// When the system does not say where the user's data lives.
pub(crate) fn of_user() -> Result<PathBuf, FileError> {
    named(std::env::var_os(HOME_VARIABLE))
}

/// The same, where the variable says this.
fn named(home: Option<OsString>) -> Result<PathBuf, FileError> {
    if let Some(home) = home.filter(|home| !home.is_empty()) {
        return Ok(home.into());
    }
    let data = etcetera::base_strategy::choose_native_strategy()
        .map_err(|error| FileError::NoDataFolder { source: Box::new(error) })?
        .data_dir();
    Ok(data.join("candlemark"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_variable_overrides_the_users_folder() {
        assert_eq!(named(Some("/music/candlemark".into())).unwrap(), PathBuf::from("/music/candlemark"));
        let of_user = named(None).unwrap();
        assert!(of_user.ends_with("candlemark") && of_user.is_absolute(), "{of_user:?}");
        assert_eq!(named(Some(OsString::new())).unwrap(), of_user, "empty is not set");
    }
}
