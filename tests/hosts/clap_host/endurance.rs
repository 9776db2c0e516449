//! A session that lasts, in the CLAP host.

use candlemark_tests::endurance::lasts;

use crate::host::Instance;

#[test]
fn a_session_lasts_and_nothing_grows() {
    lasts::<Instance>("endurance::a_session_lasts_and_nothing_grows");
}
