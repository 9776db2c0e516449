//! A session that lasts, in the CLAP host.

use candlemark_tests::endurance::lasts;
use candlemark_tests::x11::on_a_display_of_its_own;

use crate::host::Instance;

#[test]
fn a_session_lasts_and_nothing_grows() {
    on_a_display_of_its_own("endurance::a_session_lasts_and_nothing_grows", lasts::<Instance>);
}
