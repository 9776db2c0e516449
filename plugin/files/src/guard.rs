//! A decoder that panics over a damaged file takes nothing else down with it.

use std::panic::{AssertUnwindSafe, catch_unwind};

use symphonia::core::errors::{Error, Result};

/// What a decoder is taken to have said when it panicked.
const GAVE_UP: &str = "the decoder gave up on it";

/// Calls into the decoding library, whose arithmetic is not proof against every damaged header. A panic there
/// becomes an error for which [`is_final`] holds: what was called must then not be called again.
pub(crate) fn guarded<T>(call: impl FnOnce() -> Result<T>) -> Result<T> {
    catch_unwind(AssertUnwindSafe(call)).unwrap_or(Err(Error::DecodeError(GAVE_UP)))
}

/// Whether the decoder is no longer to be used.
pub(crate) fn is_final(error: &Error) -> bool {
    matches!(error, Error::DecodeError(GAVE_UP))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_final_error() {
        let zero = std::hint::black_box(0);
        let error = guarded(|| Ok(1 / zero)).unwrap_err();
        assert!(is_final(&error));
        assert!(!is_final(&Error::DecodeError("another")));
        assert_eq!(guarded(|| Ok(7)).unwrap(), 7);
    }
}
