//! What of the column of figures there is room for, and how far its rows lie apart.
//!
//! Of a column that grows lower, first two of the three playbacks elsewhere go, then the hinge (its figure stays), then
//! elsewhere and the crest factor, then the level at the chair.

use egui::Rangef;

/// A row's least and greatest height, in points.
const PITCH: Rangef = Rangef { min: 21.0, max: 32.0 };
/// A heading is so many rows high.
pub(crate) const TITLE_ROWS: f32 = 1.3;
/// The least and the greatest height of the hinge, in points; correlation stands beside it.
const HINGE: Rangef = Rangef { min: 66.0, max: 118.0 };
/// Between two groups at least and at most.
const GAP: Rangef = Rangef { min: 7.0, max: 44.0 };
/// Rows come no further apart before groups do by so much, in points.
const GAP_AT_EASE: f32 = 18.0;
/// Rows of loudness and dynamics without the crest factor, and the two folds.
const ROWS: f32 = 9.0;
/// The crest factor's.
const CREST_ROWS: f32 = 1.0;
/// Their headings.
const GROUPS: f32 = 3.0;
/// The level at the chair takes so many rows.
pub(crate) const CHAIR_ROWS: f32 = 1.8;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Plan {
    pub(crate) pitch: f32,
    pub(crate) gap: f32,
    /// Height of the hinge; 0 where correlation has a row of its own.
    pub(crate) hinge: f32,
    pub(crate) chair: bool,
    /// The crest factor has its row: as long as there is anything of elsewhere.
    pub(crate) crest: bool,
    /// How many playbacks are shown.
    pub(crate) elsewhere: usize,
}

impl Plan {
    /// What goes into so many points of height.
    pub(crate) fn of(height: f32) -> Self {
        let sizes = [(3, true, true), (1, true, true), (1, true, false), (0, true, false), (0, false, false)];
        let need = |(elsewhere, chair, hinge): (usize, bool, bool)| {
            let rows = ROWS
                + elsewhere as f32
                + if elsewhere > 0 { CREST_ROWS } else { 0.0 }
                + if chair { CHAIR_ROWS } else { 0.0 }
                + if hinge { 0.0 } else { 1.0 };
            let groups = GROUPS + f32::from(u8::from(chair)) + f32::from(u8::from(elsewhere > 0));
            (rows + TITLE_ROWS * groups, groups - 1.0, if hinge { HINGE.min } else { 0.0 })
        };
        let fits = |size: &(usize, bool, bool)| {
            let (rows, gaps, hinge) = need(*size);
            rows * PITCH.min + gaps * GAP.min + hinge <= height
        };
        let size = sizes.into_iter().find(fits).unwrap_or((0, false, false));
        let (rows, gaps, hinge) = need(size);
        let (elsewhere, chair, has_hinge) = size;
        let pitch = PITCH.clamp((height - gaps * GAP_AT_EASE - hinge) / rows);
        let left = height - pitch * rows - gaps * GAP.min;
        let hinge = if has_hinge { HINGE.clamp(left) } else { 0.0 };
        let gap = GAP.clamp((height - pitch * rows - hinge) / gaps);
        Self { pitch, gap, hinge, chair, crest: elsewhere > 0, elsewhere }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_go_in_their_order_and_what_stays_fits() {
        let mut before = Plan::of(2000.0);
        assert_eq!((before.elsewhere, before.chair, before.hinge), (3, true, HINGE.max));
        for height in (312..2000).rev().map(|height| height as f32) {
            let plan = Plan::of(height);
            let parts = |plan: Plan| [plan.elsewhere > 1, plan.hinge > 0.0, plan.elsewhere > 0, plan.chair];
            let (now, then) = (parts(plan), parts(before));
            assert!((0..4).all(|part| now[part] <= then[part]), "{height}: {plan:?} after {before:?}");
            assert!(now.is_sorted(), "a later part went first: {plan:?}");
            let rows = ROWS
                + plan.elsewhere as f32
                + if plan.crest { CREST_ROWS } else { 0.0 }
                + if plan.chair { CHAIR_ROWS } else { 0.0 }
                + if plan.hinge > 0.0 { 0.0 } else { 1.0 };
            let groups = GROUPS + f32::from(u8::from(plan.chair)) + f32::from(u8::from(plan.elsewhere > 0));
            let whole = plan.pitch * (rows + TITLE_ROWS * groups) + plan.hinge + plan.gap * (groups - 1.0);
            assert!(whole <= height + 0.1, "{height}: {plan:?} takes {whole}");
            before = plan;
        }
    }
}
