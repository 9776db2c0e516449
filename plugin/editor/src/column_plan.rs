//! What of the column of figures there is room for, and how far its rows lie apart.
//!
//! Of a column that grows lower, first two of the three playbacks elsewhere go, then the hinge (its figure stays), then
//! elsewhere and the crest factor, then the lines under the level at the chair, then that level.

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
/// The level at the chair with a line under it takes so many rows.
pub(crate) const CHAIR_ROWS: f32 = 1.8;
/// Each further line under it takes so much of one.
pub(crate) const CHAIR_LINE: f32 = 0.78;

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Plan {
    pub(crate) pitch: f32,
    pub(crate) gap: f32,
    /// Height of the hinge; 0 where correlation has a row of its own.
    pub(crate) hinge: f32,
    /// Rows of the level at the chair; 0 where it has dropped out.
    pub(crate) chair: f32,
    /// The crest factor has its row: as long as there is anything of elsewhere.
    pub(crate) crest: bool,
    /// How many playbacks are shown.
    pub(crate) elsewhere: usize,
}

impl Plan {
    /// What goes into so many points of height, where so many further lines belong under the level at the chair.
    pub(crate) fn of(height: f32, chair_lines: usize) -> Self {
        let whole = CHAIR_ROWS + CHAIR_LINE * chair_lines as f32;
        let sizes = [
            (3, whole, true),
            (1, whole, true),
            (1, whole, false),
            (0, whole, false),
            (0, CHAIR_ROWS, false),
            (0, 0.0, false),
        ];
        let need = |(elsewhere, chair, hinge): (usize, f32, bool)| {
            let crest = if elsewhere > 0 { CREST_ROWS } else { 0.0 };
            let rows = ROWS + elsewhere as f32 + crest + chair + if hinge { 0.0 } else { 1.0 };
            let groups = GROUPS + f32::from(u8::from(chair > 0.0)) + f32::from(u8::from(elsewhere > 0));
            (rows + TITLE_ROWS * groups, groups - 1.0, if hinge { HINGE.min } else { 0.0 })
        };
        let fits = |size: &(usize, f32, bool)| {
            let (rows, gaps, hinge) = need(*size);
            rows * PITCH.min + gaps * GAP.min + hinge <= height
        };
        let size = sizes.into_iter().find(fits).unwrap_or((0, 0.0, false));
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
        for lines in [0, 4] {
            let whole_chair = CHAIR_ROWS + CHAIR_LINE * lines as f32;
            let mut before = Plan::of(2000.0, lines);
            assert_eq!((before.elsewhere, before.chair, before.hinge), (3, whole_chair, HINGE.max));
            for height in (312..2000).rev().map(|height| height as f32) {
                let plan = Plan::of(height, lines);
                let parts = |plan: Plan| {
                    [
                        plan.elsewhere > 1,
                        plan.hinge > 0.0,
                        plan.elsewhere > 0,
                        plan.chair >= whole_chair,
                        plan.chair > 0.0,
                    ]
                };
                let (now, then) = (parts(plan), parts(before));
                assert!((0..5).all(|part| now[part] <= then[part]), "{height}: {plan:?} after {before:?}");
                assert!(now.is_sorted(), "a later part went first: {plan:?}");
                let rows = ROWS
                    + plan.elsewhere as f32
                    + plan.chair
                    + if plan.crest { CREST_ROWS } else { 0.0 }
                    + if plan.hinge > 0.0 { 0.0 } else { 1.0 };
                let groups = [plan.chair > 0.0, plan.elsewhere > 0].map(|is| f32::from(u8::from(is)));
                let groups = GROUPS + groups.iter().sum::<f32>();
                let whole =
                    plan.pitch * (rows + TITLE_ROWS * groups) + plan.hinge + plan.gap * (groups - 1.0);
                assert!(whole <= height + 0.1, "{height}: {plan:?} takes {whole}");
                before = plan;
            }
        }
    }
}
