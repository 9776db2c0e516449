//! A product added to a sum: in one instruction where the processor has it, else in two.
//!
//! Asking for the fused one where there is none would call a function for every sample.

/// How a product is added to a sum. The two ways differ by the rounding of the product.
pub(crate) trait MultiplyAdd {
    /// `a`·`b` + `sum`.
    fn single(a: f32, b: f32, sum: f32) -> f32;
    /// The same in double precision.
    fn double(a: f64, b: f64, sum: f64) -> f64;
}

/// In one step, rounded once.
pub(crate) struct Fused;

impl MultiplyAdd for Fused {
    #[inline(always)]
    fn single(a: f32, b: f32, sum: f32) -> f32 {
        a.mul_add(b, sum)
    }

    #[inline(always)]
    fn double(a: f64, b: f64, sum: f64) -> f64 {
        a.mul_add(b, sum)
    }
}

/// In two steps, each rounded.
pub(crate) struct InTwoSteps;

impl MultiplyAdd for InTwoSteps {
    #[inline(always)]
    fn single(a: f32, b: f32, sum: f32) -> f32 {
        a * b + sum
    }

    #[inline(always)]
    fn double(a: f64, b: f64, sum: f64) -> f64 {
        a * b + sum
    }
}
