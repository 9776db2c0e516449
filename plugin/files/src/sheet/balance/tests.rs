use candlemark_analysis::Hertz;
use candlemark_session::comparison::RecordFigures;
use candlemark_session::figures::Fold;

use super::*;

/// A song of one band, so far from the middle of three records that lie 1 dB to either side of it, and what mono keeps of it.
fn drawn(off_db: f64, kept: f64) -> String {
    let band = BandComparison {
        nominal: Hertz(1000.0),
        off_db,
        low_db: -1.0,
        high_db: 1.0,
        within_low_db: -3.0,
        within_high_db: 3.0,
        fold_low_db: None,
        records: 3,
        outside: off_db.abs() > 1.0,
    };
    let comparison = Comparison {
        name: "mine".into(),
        records: 3,
        distance_db: None,
        figures: RecordFigures::default(),
        bands: vec![band],
        groups: Vec::new(),
    };
    let figures = BandFigures {
        nominal: Hertz(1000.0),
        level: None,
        relative: None,
        fold: Fold { kept: Some(kept) },
        correlation: None,
    };
    let song = SongFigures { bands: vec![figures], ..SongFigures::default() };
    part(&song, Some(&comparison), None, 0).into_string()
}

/// Every place of a mark: what stands in an attribute of the elements of a class.
fn places(page: &str, class: &str, attribute: &str) -> Vec<f64> {
    let elements = page.split('<').filter(|element| element.contains(&format!("class=\"{class}\"")));
    let value = |element: &str| {
        let (_, value) = element.split_once(&format!(" {attribute}=\""))?;
        value.split('"').next()?.parse().ok()
    };
    elements.filter_map(value).collect()
}

/// Heights of an arrow's tip and foot.
fn arrow(page: &str, class: &str) -> Option<[f64; 2]> {
    let (_, path) = page.split_once(&format!("class=\"goes-on {class}\" d=\"M"))?;
    let heights: Vec<f64> = path
        .split('Z')
        .next()?
        .split('L')
        .filter_map(|corner| corner.split(' ').nth(1)?.parse().ok())
        .collect();
    Some([heights[1], heights[0]])
}

#[test]
fn what_lies_beyond_the_scale_stands_inside_it_and_hides_no_arrow() {
    for (off_db, edge, way) in [(40.0, TOP, 1.0), (-40.0, BOTTOM, -1.0)] {
        let page = drawn(off_db, 1.0);
        let [tip, foot] = arrow(&page, "of-outside").unwrap();
        let square = places(&page, "square", "y")[0];
        let near = if way > 0.0 { square } else { square + 2.0 * RADIUS };
        assert_eq!(tip, edge);
        assert!((near - foot) * way >= 0.0, "{off_db}: the mark begins at {near}, the arrow goes to {foot}");
        // Its figure stands beyond the edge, under or over the arrow.
        let figure = places(&page, "far", "y")[0];
        assert!((edge - figure) * way > 0.0, "{off_db}: {figure} beside {edge}");
        assert_eq!(arrow(&page, "of-mono"), None);
    }
    assert_eq!(arrow(&drawn(8.0, 1.0), "of-outside"), None, "it lies on the scale");
}

#[test]
fn a_bead_and_its_ring_beyond_one_edge_cover_each_other_nowhere() {
    for (off_db, kept) in [(-40.0, 0.25), (-40.0, 0.0), (40.0, 0.25)] {
        let page = drawn(off_db, kept);
        let bead = places(&page, "square", "y")[0] + RADIUS;
        let ring = places(&page, "ring", "cy")[0];
        assert!((bead - ring).abs() >= 2.0 * RADIUS - 0.5, "{off_db}: {bead} and {ring}");
        assert!(bead < ring, "mono takes away");
        let figures = [places(&page, "far", "y")[0], places(&page, "ringed", "y")[0]];
        assert!((figures[0] - figures[1]).abs() > 12.5, "{off_db}: {figures:?}");
    }
}

#[test]
fn what_mono_takes_all_of_hangs_at_the_edge_with_an_arrow_and_a_word() {
    let page = drawn(0.0, 0.0);
    let [tip, foot] = arrow(&page, "of-mono").unwrap();
    assert_eq!(tip, BOTTOM);
    assert!(places(&page, "ring", "cy")[0] + RADIUS - 0.5 <= foot);
    assert!(page.contains(">lost<") && places(&page, "ringed", "y")[0] > BOTTOM);
}
